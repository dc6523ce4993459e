// Reads a folder of board data with a general-purpose parser and follows the copper from hole
// to hole: as many holes as the order says, the outline's size, the coils' length of track,
// and one piece of copper for each pixel, or for each line of a scan, which ends at the holes
// that connections.csv lists. Each pad is in the piece that its own attributes name, and a
// scan's diodes stand between their row's line and their column's.
// Usage: node read.mjs FOLDER ORDER.json [order.diode_span in mm]
import assert from 'node:assert/strict'
import { readFileSync, readdirSync } from 'node:fs'
import parser from 'gerber-parser'

const [folder, json, span] = process.argv.slice(2)
const order = JSON.parse(readFileSync(json, 'utf8'))

// What the parser does not know but the formats have: attributes, which it passes over.
const passedOver = /^block "%T[FAOD][.A-Z].*" was not recognized|^block "%TD" was not|zero suppression missing/

async function read (name) {
  const commands = []
  const p = parser()
  p.on('warning', w => assert.match(w.message, passedOver, name))
  p.on('data', c => commands.push(c))
  await new Promise((resolve, reject) => {
    p.on('end', resolve)
    p.on('error', reject)
    p.end(readFileSync(`${folder}/${name}`, 'utf8'))
  })
  assert.equal(commands.at(-1).type, 'done', `${name} has no end`)
  assert.deepEqual(commands.filter(c => c.prop === 'units').map(c => c.value), ['mm'], name)
  const seen = { flashes: [], draws: [] }
  let mode = 'i'
  let at
  let tool
  const tools = {}
  for (const c of commands) {
    if (c.type === 'tool') tools[c.code] = c.tool.params[0]
    if (c.prop === 'mode') mode = c.value
    if (c.prop === 'tool') tool = tools[c.value]
    if (c.type !== 'op') continue
    const to = { ...at, ...c.coord }
    if (c.op === 'flash') seen.flashes.push({ ...to, tool })
    if (c.op === 'int') seen.draws.push({ from: at, to, mode, tool })
    at = { x: to.x, y: to.y }
  }
  return seen
}

function length ({ from, to, mode }) {
  const chord = Math.hypot(to.x - from.x, to.y - from.y)
  return mode === 'i' ? chord : 2 * Math.hypot(to.i, to.j) * Math.asin(Math.min(1, chord / 2 / Math.hypot(to.i, to.j)))
}

const names = readdirSync(folder).filter(n => /\.(gbr|drl)$/.test(n))
const files = {}
for (const n of names) files[n] = await read(n)
const copper = names.filter(n => n.startsWith('copper'))
assert.equal(copper.length, order.board.layers)
assert.equal(files['plated.drl'].flashes.length, order.board.plated_holes)
assert.equal(files['bare.drl'].flashes.length, order.board.bare_holes)
const edge = files['outline.gbr'].draws
const extent = k => (Math.max(...edge.map(d => d.to[k])) - Math.min(...edge.map(d => d.to[k]))) * 1e-3
assert.ok(Math.abs(extent('x') - order.board.width_m) < 1e-9 && Math.abs(extent('y') - order.board.height_m) < 1e-9)

// Nets: places on a layer joined by what is drawn from one to the other, and through holes.
const parent = new Map()
const find = k => {
  if (!parent.has(k)) parent.set(k, k)
  while (parent.get(k) !== k) k = parent.get(k)
  return k
}
const join = (a, b) => parent.set(find(a), find(b))
const place = p => `${Math.round(p.x * 1e6)},${Math.round(p.y * 1e6)}`
let track = 0
copper.forEach((n, layer) => {
  const pads = new Set(files[n].flashes.map(place))
  assert.equal(files[n].flashes.length, order.board.plated_holes, `${n}: pads`)
  for (const h of files['plated.drl'].flashes) {
    // Drills have four decimals, copper six.
    const pad = files[n].flashes.find(f => Math.hypot(f.x - h.x, f.y - h.y) < 1e-4 && f.tool > h.tool)
    assert.ok(pad, `${n}: no pad round the hole at ${h.x}, ${h.y}`)
    join(`${layer}/${place(pad)}`, `hole/${h.x},${h.y}`)
  }
  for (const d of files[n].draws) {
    join(`${layer}/${place(d.from)}`, `${layer}/${place(d.to)}`)
    track += length(d)
  }
})
const nets = new Set([...parent.keys()].map(find))
const listed = readFileSync(`${folder}/connections.csv`, 'utf8').split('\n').slice(1).map(l => l.split(',')).filter(l => l.length === 8)
const listedNets = new Set(listed.map(l => l[1]))
assert.equal(nets.size, listedNets.size, 'pieces of copper')
assert.equal(nets.size, order.drawn.nets, 'pieces of copper, as the order says')
const holeAt = (x, y) => files['plated.drl'].flashes.find(h => Math.hypot(h.x - x, h.y - y) < 2e-3)
const netOf = new Map()
const isOf = (net, hole, what) => {
  const root = find(`hole/${hole.x},${hole.y}`)
  if (!netOf.has(net)) netOf.set(net, root)
  assert.equal(netOf.get(net), root, `${net}: ${what} is of another net`)
}
for (const [pixel, net, pin, , x, y] of listed) isOf(net, holeAt(1e3 * x, 1e3 * y), `the hole at the edge, pin ${pin} of pixel ${pixel}`)
assert.equal(new Set(netOf.values()).size, listedNets.size, 'two nets in one piece')

// Pads with the net and pin that the specification's attributes give them.
const pins = new Map()
let net, pin, scale
for (const block of readFileSync(`${folder}/${copper[0]}`, 'utf8').split('*')) {
  const word = block.replace(/[%\s]/g, '')
  const form = word.match(/^FSLAX\d(\d)Y\d\1$/)
  if (form) scale = 10 ** -form[1]
  if (word.startsWith('TO.N,')) net = word.slice(5)
  if (word.startsWith('TO.P,')) pin = word.slice(5).split(',').slice(0, 2).join()
  if (word === 'TD' || word === 'TD.P') pin = undefined
  if (word === 'TD' || word === 'TD.N') net = undefined
  const flash = word.match(/^X(-?\d+)Y(-?\d+)D03$/)
  if (flash && pin) pins.set(pin, { net, x: flash[1] * scale, y: flash[2] * scale })
}
for (const [name, p] of pins) isOf(p.net, holeAt(p.x, p.y), `pin ${name}`)
const pixels = new Set([...pins.keys()].map(k => k.split(',')[0]))
let diodes = ''
if (span) {
  for (const pixel of pixels) {
    const [coil, end, row] = [1, 2, 3].map(k => pins.get(`${pixel},${k}`))
    const [, r, c] = pixel.match(/^r(\d+)c(\d+)$/)
    assert.equal(row.net, `row${r}`, pixel)
    assert.ok(coil.net.startsWith(`column${c}.`) && end.net === coil.net, pixel)
    assert.ok(Math.abs(Math.hypot(row.x - coil.x, row.y - coil.y) - span) < 2e-3, `${pixel}: the diode's holes`)
  }
  // Each row's line and each piece of a column's meet at one diode at most.
  const met = new Set([...pixels].map(k => `${pins.get(`${k},3`).net} ${pins.get(`${k},1`).net}`))
  assert.equal(met.size, pixels.size, 'two diodes between the same lines')
  diodes = `, ${pixels.size} diodes`
}

// The leads are in neither: they, a scan's taps and the chords' error are the rest.
const ways = listed.reduce((sum, l) => sum + 1e3 * l[6], 0)
const off = (track - ways) / (1e3 * order.drawn.track_m * pixels.size) - 1
assert.ok(off > -0.0005 && off < (span ? 0.03 : 0.005), `the coils' tracks are ${(100 * off).toFixed(2)} % longer than the order says`)
console.log(`${names.length} files, ${order.board.plated_holes} plated holes, ${nets.size} nets${diodes}, ${(track / 1e3).toFixed(2)} m of track: as ordered (the coils ${(100 * off).toFixed(3)} %, leads counted)`)
