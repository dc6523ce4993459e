/* Prints what the header reads of a frame table, and with a second argument breaks the
 * table every way. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "lode_table.h"

static int16_t levels[1 << 16];
static uint8_t data[1 << 22], broken[1 << 22];

static int fits(const lode_table *t) { return (uint64_t)t->rows * t->cols <= sizeof levels / sizeof *levels; }

static void put(uint8_t *p, uint32_t v)
{
    int k;
    for (k = 0; k < 4; k++)
        p[k] = (uint8_t)(v >> 8 * k);
}

int main(int argc, char **argv)
{
    lode_table t;
    size_t n, i;
    uint32_t us, k;
    int r;
    FILE *f = argc > 1 ? fopen(argv[1], "rb") : NULL;
    if (f == NULL || (n = fread(data, 1, sizeof data, f)) == sizeof data)
        return 2;
    fclose(f);
    if ((r = lode_open(&t, data, n)) != LODE_OK) {
        printf("refused %d\n", r);
        return 1;
    }
    if (!fits(&t))
        return 2;
    printf("%u %u %u %u %u %u %u %u %u %u %u %u %u %u %u %u %u\n", t.rows, t.cols, t.frames, t.bits, t.mode, t.reverses, t.period_ns, t.duty,
           t.hold_duty, t.kick_us, t.scan_us, t.most_lit, t.longest_on_us, t.watchdog_us, t.most_kicked, t.turns, t.in_series);
    while ((us = lode_next(&t, levels)) != 0)
        ;
    lode_rewind(&t); /* a second pass is as the first */
    while ((us = lode_next(&t, levels)) != 0) {
        printf("%u %u", us, lode_full(&t, levels));
        for (k = 0; k < t.rows * t.cols; k++)
            printf(" %d", levels[k]);
        putchar('\n');
    }
    if (argc < 3)
        return 0;
    for (i = 0; i < n; i++) { /* in a block of its own, so that reading past the end is caught */
        uint8_t *cut = malloc(i ? i : 1);
        if (cut == NULL)
            return 2;
        memcpy(cut, data, i);
        if (lode_open(&t, cut, i) == LODE_OK)
            return 3;
        free(cut);
    }
    memcpy(broken, data, n);
    for (i = 0; i < 8 * n; i++) {
        broken[i / 8] ^= (uint8_t)(1u << i % 8);
        if (lode_open(&t, broken, n) == LODE_OK)
            return 4;
        if (i % 7 == 0) { /* with right checksums too, so that what it holds is looked at */
            put(broken + 68, lode_crc(broken, 68));
            put(broken + n - 4, lode_crc(broken, n - 4));
            if (lode_open(&t, broken, n) == LODE_OK && fits(&t))
                while (lode_next(&t, levels) != 0)
                    ;
            memcpy(broken, data, n);
        } else
            broken[i / 8] ^= (uint8_t)(1u << i % 8);
    }
    broken[n] = 0;
    if (lode_open(&t, broken, n + 1) == LODE_OK || lode_open(&t, "GIF89a..............", 20) != LODE_FOREIGN)
        return 5;
    puts("every cut and every flipped bit is refused");
    return 0;
}
