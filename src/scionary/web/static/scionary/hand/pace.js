// Grafts an hour while somebody worked: pauses of more than 20 minutes are left out (project default, unsourced).
const PAUSE_MS = 20 * 60_000;
const LEAST = 3;

export function anHour(moments) {
  const times = moments.map((at) => Date.parse(at)).sort((one, other) => one - other);
  const gaps = times
    .slice(1)
    .map((at, i) => at - times[i])
    .filter((gap) => gap <= PAUSE_MS);
  const worked = gaps.reduce((sum, gap) => sum + gap, 0);
  return gaps.length >= LEAST - 1 && worked > 60_000 ? Math.round((gaps.length * 3_600_000) / worked) : null;
}
