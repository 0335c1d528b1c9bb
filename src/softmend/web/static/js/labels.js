// SPDX-License-Identifier: Apache-2.0
/**
 * Where labels stand so that they cover neither each other nor much of the marks. Screen pixels.
 *
 * @typedef {import("./geometry.js").Position} Position
 * @typedef {import("./geometry.js").Box} Box
 * @typedef {object} Request
 * @property {number} width
 * @property {number} height
 * @property {Position[]} anchors places on the mark that the label may stand at, best first
 * @property {boolean} isCentred the label sits on its anchor (a numbered seat)
 * @property {boolean} isWanted shown even where it covers another
 *
 * @typedef {{request: number, anchor: number, at: Position}} Place which request, which of its
 *   anchors, and where the label's centre stands
 * @typedef {{cost: number, at: Position, anchor: number, box: Box}} Candidate
 */

const GAP = 13;
const DIRECTIONS = [
  [0, -1],
  [0, 1],
  [1, 0],
  [-1, 0],
  [0.8, -0.9],
  [-0.8, -0.9],
  [0.8, 0.9],
  [-0.8, 0.9],
];
/** What covering costs: another label is worst, then leaving the picture, then a mark. */
const COST = { label: 1000, outside: 400, mark: 12, anchor: 9, direction: 1 };
/** A label that would cover a good part of another is left out until there is room. */
const TOO_DEAR = 300;

/** Size of a cell of the obstacle grid [screen px]. */
const CELL = 12;

/** Points that labels should not cover, counted in cells, so that a thousand marks stay quick. */
class Obstacles {
  /** @param {Position[]} points */
  constructor(points) {
    /** @type {Map<number, number>} */
    this.cells = new Map();
    for (const [x, y] of points) {
      const key = cellKey(Math.floor(x / CELL), Math.floor(y / CELL));
      this.cells.set(key, (this.cells.get(key) ?? 0) + 1);
    }
  }

  /** @param {Box} box */
  under({ left, top, right, bottom }) {
    let count = 0;
    for (let x = Math.floor(left / CELL); x <= Math.floor(right / CELL); x += 1) {
      for (let y = Math.floor(top / CELL); y <= Math.floor(bottom / CELL); y += 1) {
        count += this.cells.get(cellKey(x, y)) ?? 0;
      }
    }
    return count;
  }
}

/**
 * @param {number} x
 * @param {number} y
 */
function cellKey(x, y) {
  return x * 100_000 + y;
}

/**
 * Return a place for each label that finds room, in the order of the requests.
 * @param {Request[]} requests
 * @param {Position[]} points points along the marks
 * @param {{width: number, height: number}} frame
 * @param {Box[]} reserved what buttons cover
 * @returns {Place[]}
 */
export function placed(requests, points, frame, reserved) {
  const obstacles = new Obstacles(points);
  const taken = [...reserved];
  /** @type {Place[]} */
  const places = [];
  requests.forEach((request, i) => {
    const best = cheapest(request, taken, obstacles, frame);
    if (best === null || (best.cost > TOO_DEAR && !request.isWanted)) return;
    taken.push(best.box);
    places.push({ request: i, anchor: best.anchor, at: best.at });
  });
  return places;
}

/**
 * @param {Request} request
 * @param {Box[]} taken
 * @param {Obstacles} obstacles
 * @param {{width: number, height: number}} frame
 */
function cheapest(request, taken, obstacles, frame) {
  const directions = request.isCentred ? [[0, 0]] : DIRECTIONS;
  const isInSight = (/** @type {Position} */ [x, y]) =>
    x >= 0 && y >= 0 && x <= frame.width && y <= frame.height;
  /** @type {Candidate[]} */
  const candidates = request.anchors.flatMap((anchor, rank) => {
    if (!isInSight(anchor)) return [];
    return directions.map(([x, y], turn) => {
      /** @type {Position} */
      const at = [
        anchor[0] + x * (request.width / 2 + GAP),
        anchor[1] + y * (request.height / 2 + GAP),
      ];
      const box = around(at, request.width, request.height);
      const standing = rank * COST.anchor + turn * COST.direction;
      return { at, anchor: rank, box, cost: standing + covering(box, taken, obstacles, frame) };
    });
  });
  if (candidates.length === 0) return null;
  return candidates.reduce((best, one) => (one.cost < best.cost ? one : best));
}

/**
 * @param {Position} at
 * @param {number} width
 * @param {number} height
 * @returns {Box}
 */
function around([x, y], width, height) {
  return { left: x - width / 2, right: x + width / 2, top: y - height / 2, bottom: y + height / 2 };
}

/**
 * @param {Box} box
 * @param {Box[]} taken
 * @param {Obstacles} obstacles
 * @param {{width: number, height: number}} frame
 */
function covering(box, taken, obstacles, frame) {
  const area = (box.right - box.left) * (box.bottom - box.top);
  const shared = taken.reduce((sum, other) => sum + overlap(box, other), 0);
  const inside = overlap(box, { left: 0, top: 0, right: frame.width, bottom: frame.height });
  const label = (COST.label * shared) / area;
  return label + COST.outside * (1 - inside / area) + COST.mark * obstacles.under(box);
}

/**
 * @param {Box} a
 * @param {Box} b
 */
function overlap(a, b) {
  const wide = Math.min(a.right, b.right) - Math.max(a.left, b.left);
  const high = Math.min(a.bottom, b.bottom) - Math.max(a.top, b.top);
  return wide > 0 && high > 0 ? wide * high : 0;
}
