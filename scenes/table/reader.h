/* Reads a binary frame table of lodegrid, version 5, that lies in memory as it was
 * written: in flash, or in a file read whole. C99; nothing is allocated, nothing is
 * written but what it is given. Public domain.
 *
 *     lode_table table;
 *     int16_t levels[ROWS * COLS];          // kept from frame to frame
 *     uint32_t us;
 *     if (lode_open(&table, data, size) != LODE_OK || table.rows != ROWS || table.cols != COLS)
 *         refuse();
 *     for (;;) {
 *         while ((us = lode_next(&table, levels)) != 0)
 *             show(levels, us);
 *         lode_rewind(&table);
 *     }
 *
 * A table of lodegrid carry --start is played once before that: without current all drops fall,
 * so that after it went off, or when drops were lost, they lie at the bottom.
 *
 * A level is −full…full, full being 127 or 32767 by the table's bits: the share
 * duty/65535 × level/full of each PWM period of period_ns. In mode LODE_KICK a pixel has
 * that share for kick_us when it comes on or reverses, from the kick's rail, and
 * hold_duty/65535 × level/full after; in mode LODE_SCAN the rows take turns, row r turn
 * r mod turns, all of them once in scan_us. Levels are linear in current: do not apply a gamma.
 *
 * The firmware must keep, whatever is shown, most_lit (compare lode_full), longest_on_us
 * and watchdog_us; boards get hot enough to burn where it does not. In mode LODE_KICK it
 * kicks most_kicked pixels at once: where more come on, as when the first picture does, the
 * others wait dark for theirs. Where lodegrid could not work these out all are 0: show nothing.
 */
#ifndef LODE_TABLE_H
#define LODE_TABLE_H

#include <stddef.h>
#include <stdint.h>

enum lode_result {
    LODE_OK = 0,
    LODE_FOREIGN, /* no frame table */
    LODE_VERSION, /* of another version */
    LODE_SHORT,   /* it ends early */
    LODE_DAMAGED, /* a CRC-32 differs */
    LODE_INVALID  /* it holds what no table may */
};

enum lode_mode { LODE_DIRECT = 0, LODE_STAGGER = 1, LODE_SCAN = 2, LODE_KICK = 3 };

#define LODE_FOR_EVER UINT32_C(0xffffffff)

typedef struct {
    uint32_t rows, cols, frames;
    uint16_t bits;          /* per level, 8 or 16 */
    uint16_t mode;          /* enum lode_mode */
    uint16_t reverses;      /* 1: a level below 0 reverses the current */
    uint16_t duty;          /* at full level, in 1/65535 */
    uint16_t hold_duty;     /* the same after a kick */
    int16_t full;           /* level 1 */
    uint32_t period_ns;     /* of the PWM */
    uint32_t kick_us;       /* 0 outside LODE_KICK */
    uint32_t scan_us;       /* 0 outside LODE_SCAN */
    uint32_t most_lit;      /* pixels at full level at once */
    uint32_t longest_on_us; /* of any switch closed without a pause; LODE_FOR_EVER: no limit */
    uint32_t watchdog_us;   /* without a sign of life until the rail is off */
    uint32_t most_kicked;   /* pixels kicked at once; 0 outside LODE_KICK */
    uint32_t turns;         /* in scan_us; 0 outside LODE_SCAN */
    uint32_t in_series;     /* coils on an output: as many neighbours of a row have one level */
    uint32_t frame;         /* the next one */
    const uint8_t *first, *next;
} lode_table;

static inline uint16_t lode_u16(const uint8_t *p) { return (uint16_t)(p[0] | p[1] << 8); }

static inline uint32_t lode_u32(const uint8_t *p) { return lode_u16(p) | (uint32_t)lode_u16(p + 2) << 16; }

/* CRC-32 of IEEE 802.3, bit by bit: slow, but no table lies in memory. */
static inline uint32_t lode_crc(const uint8_t *p, size_t n)
{
    uint32_t crc = UINT32_C(0xffffffff);
    while (n-- > 0) {
        int k;
        crc ^= *p++;
        for (k = 0; k < 8; k++)
            crc = crc >> 1 ^ (crc & 1 ? UINT32_C(0xedb88320) : 0);
    }
    return ~crc;
}

static inline int16_t lode_level(const lode_table *t, const uint8_t *p)
{
    int32_t v = t->bits == 8 ? p[0] : lode_u16(p);
    if (v > t->full)
        v -= t->bits == 8 ? 256 : 65536;
    return (int16_t)v;
}

/* lode_walk goes over one frame, of which at least size bytes are there, into levels if
 * there are any. It returns the frame's bytes, 0 for one that is invalid or cut. */
static inline size_t lode_walk(const lode_table *t, const uint8_t *p, size_t size, uint32_t frame, int16_t *levels)
{
    const size_t pixels = (size_t)t->rows * t->cols, wide = t->bits / 8;
    size_t i, count, at = 5;
    if (size < at || lode_u32(p) == 0 || p[4] > 2 || (frame == 0 && p[4] != 0))
        return 0;
    if (p[4] == 1)
        return at;
    count = pixels;
    if (p[4] == 2) {
        if (size < at + 2)
            return 0;
        count = lode_u16(p + at);
        at += 2;
    }
    for (i = 0; i < count; i++) {
        size_t pixel = i;
        int16_t level;
        if (p[4] == 2) {
            if (size - at < 2 + wide)
                return 0;
            pixel = lode_u16(p + at);
            at += 2;
        }
        if (size - at < wide || pixel >= pixels)
            return 0;
        level = lode_level(t, p + at);
        if (level < -t->full)
            return 0;
        if (levels != NULL)
            levels[pixel] = level;
        at += wide;
    }
    return at;
}

/* lode_rewind goes back to the first frame. */
static inline void lode_rewind(lode_table *t)
{
    t->frame = 0;
    t->next = t->first;
}

/* lode_open looks the whole table over, so that lode_next cannot fail; data must stay. */
static inline int lode_open(lode_table *t, const void *data, size_t size)
{
    static const uint8_t mark[8] = {0x89, 'L', 'V', 'L', 'T', '\r', '\n', 0x1a};
    const uint8_t *p = (const uint8_t *)data, *end;
    uint32_t i;
    for (i = 0; i < 8; i++)
        if (i >= size || p[i] != mark[i])
            return i < size || size == 0 ? LODE_FOREIGN : LODE_SHORT;
    if (size < 10)
        return LODE_SHORT;
    if (lode_u16(p + 8) != 5)
        return LODE_VERSION;
    if (size < 76)
        return LODE_SHORT;
    if (lode_crc(p, 68) != lode_u32(p + 68))
        return LODE_DAMAGED;
    t->bits = lode_u16(p + 10);
    t->rows = lode_u32(p + 12);
    t->cols = lode_u32(p + 16);
    t->frames = lode_u32(p + 20);
    t->mode = lode_u16(p + 24);
    t->reverses = lode_u16(p + 26);
    t->period_ns = lode_u32(p + 28);
    t->duty = lode_u16(p + 32);
    t->hold_duty = lode_u16(p + 34);
    t->kick_us = lode_u32(p + 36);
    t->scan_us = lode_u32(p + 40);
    t->most_lit = lode_u32(p + 44);
    t->longest_on_us = lode_u32(p + 48);
    t->watchdog_us = lode_u32(p + 52);
    t->most_kicked = lode_u32(p + 56);
    t->turns = lode_u32(p + 60);
    t->in_series = lode_u32(p + 64);
    t->full = t->bits == 8 ? 127 : 32767;
    if ((t->bits != 8 && t->bits != 16) || (t->turns > 0) != (t->mode == LODE_SCAN) || t->in_series == 0 || t->mode > LODE_KICK || t->reverses > 1 || t->frames == 0 || t->rows == 0 ||
        t->cols == 0 || t->rows > 65535 || t->cols > 65535 || t->rows > SIZE_MAX / 4 / t->cols)
        return LODE_INVALID;
    t->first = p + 72;
    end = p + size - 4;
    for (i = 0, p = t->first; i < t->frames; i++) {
        size_t n = lode_walk(t, p, (size_t)(end - p), i, NULL);
        if (n == 0) /* of a whole file: its CRC tells damage from what was written so */
            return lode_crc((const uint8_t *)data, size - 4) == lode_u32(end) ? LODE_INVALID : LODE_DAMAGED;
        p += n;
    }
    if (lode_crc((const uint8_t *)data, (size_t)(p - (const uint8_t *)data)) != lode_u32(p))
        return LODE_DAMAGED;
    if (p != end)
        return LODE_INVALID;
    lode_rewind(t);
    return LODE_OK;
}

/* lode_next brings levels, rows × cols of them row by row from the top, from the frame
 * before to the next one. It returns how long that one lasts, µs, 0 at the end. */
static inline uint32_t lode_next(lode_table *t, int16_t *levels)
{
    uint32_t us;
    if (t->frame >= t->frames)
        return 0;
    us = lode_u32(t->next);
    t->next += lode_walk(t, t->next, SIZE_MAX, t->frame, levels);
    t->frame++;
    return us;
}

/* lode_full is what levels come to in pixels at full level, for most_lit. */
static inline uint32_t lode_full(const lode_table *t, const int16_t *levels)
{
    uint64_t sum = 0;
    size_t i, pixels = (size_t)t->rows * t->cols;
    for (i = 0; i < pixels; i++)
        sum += (uint64_t)(levels[i] < 0 ? -levels[i] : levels[i]);
    return (uint32_t)((sum + (uint64_t)t->full - 1) / (uint64_t)t->full);
}

#endif
