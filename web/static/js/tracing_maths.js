// What an outline on a picture measures. The server computes it once more: geometry/tracing.py.
// A corner is [x, y]: points of the picture, to the right and down.

export const metresPerPoint = (one, other, metres) => {
  const apart = distance(one, other);
  return apart > 0 && metres > 0 ? metres / apart : null;
};

export const distance = ([x0, y0], [x1, y1]) => Math.hypot(x1 - x0, y1 - y0);

const next = (corners, n) => corners[(n + 1) % corners.length];

const doubledArea = (corners) => corners.reduce((sum, [x0, y0], n) => {
  const [x1, y1] = next(corners, n);
  return sum + x0 * y1 - x1 * y0;
}, 0);

export const areaOf = (corners, scale) => Math.abs(doubledArea(corners)) / 2 * scale ** 2;

export const sidesOf = (corners, scale) => corners.map((corner, n) => distance(corner, next(corners, n)) * scale);

// The angle inside at each corner, in degrees.
export const anglesOf = (corners) => {
  const turn = doubledArea(corners) >= 0 ? 1 : -1;
  return corners.map(([x, y], n) => {
    const [bx, by] = corners[(n + corners.length - 1) % corners.length];
    const [ax, ay] = next(corners, n);
    const angle = (Math.atan2(by - y, bx - x) - Math.atan2(ay - y, ax - x)) * turn * 180 / Math.PI;
    return ((angle % 360) + 360) % 360;
  });
};

const side = ([ax, ay], [bx, by], [px, py]) => Math.sign((bx - ax) * (py - ay) - (by - ay) * (px - ax));
const within = ([ax, ay], [bx, by], [px, py]) =>
  Math.min(ax, bx) <= px && px <= Math.max(ax, bx) && Math.min(ay, by) <= py && py <= Math.max(ay, by);

const meet = (a, b, c, d) => {
  const s = [side(a, b, c), side(a, b, d), side(c, d, a), side(c, d, b)];
  if (s[0] * s[1] < 0 && s[2] * s[3] < 0) return true;
  return (s[0] === 0 && within(a, b, c)) || (s[1] === 0 && within(a, b, d))
    || (s[2] === 0 && within(c, d, a)) || (s[3] === 0 && within(c, d, b));
};

// Whether two sides that are no neighbours meet, or an outline of three corners or more turns back on itself.
export const crosses = (corners) => {
  const count = corners.length;
  for (let n = 0; n < count; n += 1) {
    for (let m = n + 2; m < count; m += 1) {
      if (n === 0 && m === count - 1) continue; // neighbours, too
      if (meet(corners[n], next(corners, n), corners[m], next(corners, m))) return true;
    }
  }
  return count > 2 && doubledArea(corners) === 0;
};

const NEARLY_DEG = 15;

// Make sides that lie nearly along or across the longest one lie exactly so; slanted ones stay.
export const squared = (corners) => {
  if (corners.length < 3) return corners;
  const lengths = sidesOf(corners, 1);
  const longest = lengths.indexOf(Math.max(...lengths));
  const [[x0, y0], [x1, y1]] = [corners[longest], next(corners, longest)];
  const axis = Math.atan2(y1 - y0, x1 - x0);
  const turned = corners.map((corner) => rotate(corner, -axis));
  const level = [...turned];
  for (const [along, across] of [[0, 1], [1, 0]]) {
    for (const group of groups(turned, along, across)) {
      const mean = group.reduce((sum, n) => sum + turned[n][across], 0) / group.length;
      for (const n of group) level[n] = across === 1 ? [level[n][0], mean] : [mean, level[n][1]];
    }
  }
  return level.map((corner) => rotate(corner, axis));
};

const rotate = ([x, y], by) => [x * Math.cos(by) - y * Math.sin(by), x * Math.sin(by) + y * Math.cos(by)];

// Corners that hang together by sides which run nearly along one direction.
const groups = (corners, along, across) => {
  const group = corners.map((_, n) => n);
  corners.forEach((corner, n) => {
    const other = (n + 1) % corners.length;
    const run = Math.abs(corners[other][along] - corner[along]);
    const rise = Math.abs(corners[other][across] - corner[across]);
    if (Math.atan2(rise, run) * 180 / Math.PI > NEARLY_DEG) return;
    const [from, to] = [group[other], group[n]];
    group.forEach((one, m) => { if (one === from) group[m] = to; });
  });
  return [...new Set(group)].map((one) => group.flatMap((other, n) => (other === one ? [n] : [])));
};
