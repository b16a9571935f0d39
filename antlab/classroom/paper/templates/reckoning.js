// The reckoning of trimming, for a phone without a network: what antlab/antenna/fitting.py and bench.py do with the
// engine, done with the wires in a table. The names are theirs. `taken` is what antlab/antenna/lawn.py packs: the
// table, the rules and the words. No word that a reader sees is written here.

function makeReckoning(taken) {
  const { aims_mhz, rules, words, wires, first } = taken;
  const [acrossInner, acrossOuter] = wires.knots, points = wires.points;
  const pole = floats(wires.pole), weights = floats(wires.weights);

  function floats(text) {
    const bytes = Uint8Array.from(atob(text), (letter) => letter.charCodeAt(0));
    return new Float32Array(bytes.buffer); // little-endian, as all that run browsers are
  }

  const add = (a, b) => [a[0] + b[0], a[1] + b[1]];
  const times = (a, b) => [a[0] * b[0] - a[1] * b[1], a[0] * b[1] + a[1] * b[0]];
  const over = (a, b) => {
    const size = b[0] * b[0] + b[1] * b[1];
    return [(a[0] * b[0] + a[1] * b[1]) / size, (a[1] * b[0] - a[0] * b[1]) / size];
  };
  const sum = (values) => values.reduce((a, b) => a + b, 0);
  const largest = (values) => Math.max(...values.map(Math.abs));
  const clip = (x, low, high) => Math.min(Math.max(x, low), high);
  // .1f, +.1f and .4g of a template; what lies halfway is rounded to an even digit, as there
  const fixed = (x) => (Math.abs(x * 4 % 2) === 1 ? Math.round(x * 5) / 5 : x).toFixed(1);
  const written = { ".1f": fixed, "+.1f": (x) => (x < 0 ? "" : "+") + fixed(x),
    ".4g": (x) => String(Number(x.toPrecision(4))) };
  const fill = (template, values) =>
    template.replace(/\{(\w+)(?::([^}]+))?\}/g, (_, name, as) => as ? written[as](values[name]) : values[name]);
  const say = (name, values = {}) => fill(words[name], values);

  function chebyshev(x, count) {
    const found = [1, x];
    while (found.length < count) found.push(2 * x * found.at(-1) - found.at(-2));
    return found;
  }

  const place = (lengths) => lengths.map((one, i) => (one - wires.middle_m[i]) / wires.half_m[i]);
  const hung = ([wire, ends], [inner, outer]) => [inner * Math.exp(wire), Math.max(outer * Math.exp(wire) + ends, 0.02)];
  const beyond = (mean, lengths) => largest(place(hung(mean, lengths))) > 1; // what the table knows

  // Size of the reflection around an aim, for wires that are so long and such a trap.
  function around(band, lengths, trap) {
    const [x, y] = place(lengths).map((one) => clip(one, -1, 1));
    const alongX = chebyshev(x, acrossInner), alongY = chebyshev(y, acrossOuter);
    const [low, high] = wires.windows_mhz[band];
    const top = Math.min(high, wires.highest_m_mhz / (2 * sum(lengths)));
    const abc = new Float64Array(6 * points), block = 6 * points;
    for (let i = 0; i < acrossInner; i++) for (let j = 0; j < acrossOuter; j++) {
      const weight = alongX[i] * alongY[j], at = ((i * acrossOuter + j) * 2 + band) * block;
      for (let k = 0; k < block; k++) abc[k] += weight * weights[at + k];
    }
    const f = [], size = [];
    for (let n = 0; n < points; n++) {
      f.push(low * (top / low) ** (n / (points - 1)));
      const [a, b, c] = [0, 2, 4].map((k) => [abc[6 * n + k], abc[6 * n + k + 1]]);
      const t = trapOhm(f[n], trap), p = 2 * (band * points + n);
      let z = over(add(c, times(a, t)), add(b, times([y - pole[p], -pole[p + 1]], t)));
      if (z[0] < 0.1) z = [0.1, 0];
      size.push(Math.hypot(z[0] - taken.z0_ohm, z[1]) / Math.hypot(z[0] + taken.z0_ohm, z[1]));
    }
    return [f, size];
  }

  function trapOhm(f, { inductance_uh, capacitance_pf, q }) {
    const coil = 2 * Math.PI * f * inductance_uh, capacitor = 1e6 / (2 * Math.PI * f * capacitance_pf);
    return over([1, 0], add(over([1, 0], [coil / q, coil]), [0, 1 / capacitor]));
  }

  function followed(f, size, near) {
    let best = -1, least = Infinity;
    for (let i = 1; i < f.length - 1; i++) {
      if (size[i] > size[i - 1] || size[i] > size[i + 1]) continue;
      const here = size[i] + Math.abs(Math.log(f[i] / near));
      if (here < least) [best, least] = [i, here];
    }
    if (best < 0) return f[size.indexOf(Math.min(...size))];
    const power = [-1, 0, 1].map((k) => size[best + k] ** 2);
    const bend = power[0] - 2 * power[1] + power[2];
    return f[best] * (f[1] / f[0]) ** (bend > 0 ? (power[0] - power[2]) / 2 / bend : 0);
  }

  // Where the SWR is lowest on each band, by wire, ends and traps of a fit.
  function dips(mean, lengths, near = aims_mhz) {
    const off = Math.exp(mean[2]), trap = taken.trap, as_hung = hung(mean, lengths);
    const there = { ...trap, inductance_uh: trap.inductance_uh / off, capacitance_pf: trap.capacitance_pf / off };
    return near.map((f, band) => followed(...around(band, as_hung, there), f));
  }

  // A small system of equations, by elimination.
  function solved(matrix, right) {
    const rows = matrix.map((row, i) => [...row, right[i]]), n = rows.length;
    for (let i = 0; i < n; i++) {
      const pivot = rows.slice(i).reduce((a, b) => Math.abs(b[i]) > Math.abs(a[i]) ? b : a);
      rows.splice(rows.indexOf(pivot), 1);
      rows.splice(i, 0, pivot);
      for (let j = 0; j < n; j++) {
        if (j === i) continue;
        const share = rows[j][i] / pivot[i];
        for (let k = i; k <= n; k++) rows[j][k] -= share * pivot[k];
      }
    }
    return rows.map((row, i) => row[n] / row[i]);
  }
  const inverse = (m) => {
    const columns = m.map((_, i) => solved(m, m.map((_, j) => Number(i === j))));
    return m.map((_, i) => columns.map((column) => column[i]));
  };

  // The Fit to two minima: { mean, covariance } of wire, ends and traps. before: what was usual.
  function toDips(lengths, measured, before) {
    const root = inverse(cholesky(before.covariance));
    const weighed = (p) => [
      ...dips(p, lengths, measured).map((f, i) => Math.log(f / measured[i]) / rules.dip_noise),
      ...root.map((row) => sum(row.map((one, i) => one * (p[i] - before.mean[i])))),
    ];
    let p = before.mean, rest = weighed(p), normal;
    const squares = (values) => sum(values.map((one) => one * one));
    for (let turn = 0; turn < 12; turn++) {
      const slope = rules.nudges.map((nudge, i) =>
        weighed(p.map((one, k) => one + (k === i ? nudge : 0))).map((one, k) => (one - rest[k]) / nudge));
      normal = slope.map((one) => slope.map((other) => sum(one.map((x, k) => x * other[k]))));
      const step = solved(normal, slope.map((one) => -sum(one.map((x, k) => x * rest[k]))));
      let after, share, better = false;
      for (share of [1, 0.3]) {
        after = weighed(p.map((one, i) => one + share * step[i]));
        if (better = squares(after) < squares(rest)) break;
      }
      if (!better) break;
      const gain = squares(rest) - squares(after);
      p = p.map((one, i) => one + share * step[i]);
      rest = after;
      if (gain < 0.1) break;
    }
    return { mean: p, covariance: inverse(normal) };
  }

  function cholesky(m) {
    const root = m.map((row) => row.map(() => 0));
    for (let i = 0; i < m.length; i++) for (let j = 0; j <= i; j++) {
      const rest = m[i][j] - sum(root[i].slice(0, j).map((one, k) => one * root[j][k]));
      root[i][j] = i === j ? Math.sqrt(rest) : rest / root[j][j];
    }
    return root;
  }

  // Lengths at which a fit has its minima where wanted; Newton's method, Broyden's way.
  function lengthsFor(mean, start, wanted) {
    const leg = sum(start), kept = (change) => start.map((one, i) => Math.max(one + leg * change[i], rules.shortest_m));
    const miss = (change) => dips(mean, kept(change)).map((f, i) => Math.log(wanted[i] / f));
    const size = (off) => sum(off.map(Math.abs));
    const newton = (change, slope, off, steps) => {
      let best = [change, off];
      for (let n = 0; n < steps; n++) {
        const determinant = slope[0][0] * slope[1][1] - slope[0][1] * slope[1][0];
        if (largest(off) < rules.close || Math.abs(determinant) < 1e-3) break;
        const step = solved(slope, off.map((one) => -one)).map((one) => clip(one, -0.04, 0.04));
        change = change.map((one, i) => clip(one + step[i], -0.15, 0.15));
        const before = off;
        off = miss(change);
        const far = step[0] ** 2 + step[1] ** 2;
        slope = slope.map((row, i) => row.map((one, k) =>
          one + (off[i] - before[i] - row[0] * step[0] - row[1] * step[1]) * step[k] / far));
        if (size(off) < size(best[1])) best = [change, off];
      }
      return best;
    };
    const nudge = 0.005, off = miss([0, 0]);
    const columns = [[nudge, 0], [0, nudge]].map((one) => miss(one).map((here, i) => (here - off[i]) / nudge));
    const slope = [0, 1].map((i) => [columns[0][i], columns[1][i]]);
    let best = newton([0, 0], slope, off, 8);
    if (largest(best[1]) > 5 * rules.close) {
      for (let n = 0; n < 9; n++) {
        let here = [(-0.06 + 0.12 * n / 8) * start[0] / leg * 2, 0], there;
        const outer = Math.max(slope[0][1], 0.2);
        for (let k = 0; k < 2; k++) {
          there = miss(here);
          here = [clip(here[0], -0.15, 0.15), clip(here[1] - there[0] / outer, -0.15, 0.15)];
        }
        there = miss(here);
        if (size(there) < size(best[1])) best = [here, there];
      }
      const again = newton(best[0], slope, best[1], 4);
      if (size(again[1]) < size(best[1])) best = again;
    }
    return kept(best[0]);
  }

  const isNear = (f, aim) => aim / rules.near < f && f < aim * rules.near;

  function inMinima(low, high, lengths) {
    const plain = plainMhz(sum(lengths));
    if (low === null && high === null) return say("no_minimum");
    if (low !== null && Math.abs(low / plain - 1) < rules.alike && rules.alike < Math.abs(low / aims_mhz[0] - 1)) {
      return say("plain_wire", { low_mhz: low, plain_mhz: plain });
    }
    if (low === null) return say("upper_only");
    if (high === null) return say("lower_only");
    const far = [low, high].findIndex((f, i) => !isNear(f, aims_mhz[i]));
    return far < 0 ? "" : say("too_far", { dip_mhz: [low, high][far], aim_mhz: aims_mhz[far] });
  }

  function plainMhz(leg) {
    const { middle_m, half_m, weights: along } = taken.plain, x = clip((leg - middle_m) / half_m, -1, 1);
    return sum(chebyshev(x, along.length).map((one, i) => one * along[i])) / leg;
  }

  // The log up to now: lengths, steps and what is usual of wire, ends and traps.
  const begin = () => {
    const { steps, pending } = taken.start;
    return { ...taken.start, steps: [...steps], pending: pending && told(pending) };
  };
  const later = (fit) => ({ mean: fit.mean,
    covariance: fit.covariance.map((row, i) => row.map((one, k) => one + rules.drift ** 2 * first.covariance[i][k])) });

  // What was changed before anything was measured is no step of trimming.
  const longer = (lengths, change) => lengths.map((one, i) => one + change[i]);
  const hungAnew = (log, change) => ({ ...log, lengths_m: longer(log.lengths_m, change) });

  function done(log, advice, change) {
    return {
      ...log, lengths_m: longer(log.lengths_m, change), steps: [...log.steps, change],
      usual: advice?.fit && (!advice.fault || advice.measure_again) ? later(advice.fit) : log.usual, pending: null,
    };
  }

  // The log after a line of it: what a meter showed, or what was changed.
  function after(log, line) {
    const pending = log.pending;
    const change = [line.inner_m, line.outer_m];
    if (line.what === "changed") return log.measured ? done(log, pending, change) : hungAnew(log, change);
    if (pending && (pending.measure_again || !pending.fault)) log = done(log, pending, [0, 0]);
    return { ...log, measured: true, pending: advise(log, line.low_mhz, line.high_mhz) };
  }

  function advise(log, low, high) {
    const lengths = log.lengths_m, fault = inMinima(low, high, lengths), none = { inner_m: 0, outer_m: 0, because: [] };
    if (fault) return told({ ...none, fault });
    const measured = [low, high], fit = toDips(lengths, measured, log.usual);
    const unknown = beyond(fit.mean, lengths), because = reasons(fit, { unknown });
    const off = measured.map((f, i) => Math.abs(f / aims_mhz[i] - 1)), stay = { ...none, because, fit };
    if (Math.max(...off) <= rules.done) return told({ ...stay, done: true });
    const strange = { ...stay, fault: say(untouched(log) ? "measure_traps" : "strange") };
    if (unknown) return told(strange);
    const now = dips(fit.mean, lengths, measured), wanted = aims_mhz.map((aim, i) => aim * now[i] / measured[i]);
    const goal = lengthsFor(fit.mean, lengths, wanted);
    let whole = goal.map((one, i) => Math.abs(one - lengths[i]) < rules.hand_m ? 0 : one - lengths[i]);
    if (beyond(fit.mean, goal)) return told(strange);
    if (!whole.some(Boolean)) return told({ ...stay, done: true, nearest: true });
    if (off[1] <= rules.done) whole = outerAlone(fit.mean, lengths, wanted, whole);
    const share = Math.min(...whole) < 0 ? rules.part : 1;
    const change = whole.map((one) => Math.trunc(1000 * share * one) / 1000);
    if (off[1] > rules.upper_first && change[0]) {
      const moved = dips(fit.mean, [lengths[0] + whole[0], lengths[1]])[1];
      if (Math.abs(Math.log(moved / wanted[1])) < off[1] / 4) change[1] = 0;
    }
    const doubt = doubted(log, fit, change);
    return told({ ...stay, ...doubt ?? { because: reasons(fit, { folds: true }), inner_m: change[0], outer_m: change[1] } });
  }

  function outerAlone(mean, lengths, wanted, whole) {
    const leg = sum(lengths), most = rules.most * leg;
    const off = (outer) => dips(mean, [lengths[0], lengths[1] + outer]).map((f, i) => Math.log(wanted[i] / f));
    let before = 0, missed = off(0), now = -rules.tried * leg;
    for (let n = 0; n < 3; n++) {
      const here = off(now);
      if (here[0] === missed[0]) return whole;
      const slope = (here[0] - missed[0]) / (now - before);
      [before, missed, now] = [now, here, clip(now - here[0] / slope, -most, most)];
    }
    const [low, high] = off(now).map(Math.abs);
    return low < rules.unsure && high <= rules.done ? [0, now] : whole;
  }

  const untouched = (log) => !taken.traps_measured && !log.steps.some((step) => step[0] || step[1]);

  function doubted(log, fit, change) {
    if (untouched(log)) {
      const off = Math.abs(fit.mean[2]) > rules.traps_off;
      if (off || (isFar(log, change) && isFar(log, change, true))) return { fault: say("measure_traps"), measure_traps: true };
    }
    const last = log.steps.at(-1);
    if (last && !last[0] && !last[1]) return null; // measured again
    for (const [i, wire] of ["inner", "outer"].entries()) {
      const before = log.steps.map((step) => step[i]).findLast((one) => one) ?? 0, now = change[i];
      if (before * now < 0 && Math.abs(now) > Math.abs(before) + rules.slip_m) {
        return { fault: say("reversal", { wire, before_cm: 100 * before, now_cm: 100 * now }), measure_again: true };
      }
    }
    return null;
  }

  function isFar(log, change, beyondPlan = false) {
    const lengths = log.lengths_m;
    if (beyondPlan) {
      const start = lengthsFor([0, 0, 0], lengths, aims_mhz);
      change = change.map((one, i) => one - (one ? start[i] - lengths[i] : 0));
    }
    return Math.max(Math.abs(change[0]) / lengths[0], Math.abs(change[1]) / sum(lengths)) > rules.long_step;
  }

  // unknown: it lies beyond what the table knows, whose edge tells no percent.
  function reasons({ mean }, { folds = false, unknown = false }) {
    const [wire, , traps] = mean, strain = largest(mean.map((one, i) => (one - first.mean[i]) / first.varies[i]));
    if (strain > rules.strain) return [say("untrue")];
    if (unknown) return [];
    const said = [say(wire > 0 ? "wire_longer" : "wire_shorter", { percent: 100 * Math.abs(wire) })];
    if (Math.abs(traps) > rules.traps_said) {
      said.push(say(traps > 0 ? "traps_higher" : "traps_lower", { percent: 100 * Math.abs(traps) }));
    }
    if (folds && !taken.traps_measured && Math.abs(traps) > rules.traps_far) said.push(say("traps_far"));
    return said;
  }

  function told(advice) {
    const { inner_m, outer_m, fault, nearest, done } = advice;
    const changes = Object.entries({ inner: inner_m, outer: outer_m }).filter(([, m]) => m).map(([wire, m]) =>
      say(m > 0 ? "lengthen" : "shorten", { wire, cm: 100 * Math.abs(m), inches: Math.abs(m) / rules.inch_m }));
    const text = fault ? say("fault", { fault }) : nearest ? say("nearest") : done ? say("done") : [
      ...changes,
      ...(inner_m < 0 || outer_m < 0 ? [say("fold")] : []),
      say(!inner_m ? "outer_alone" : outer_m ? "both" : "outer_later"),
      say("transmitting"),
    ].join(" ");
    return { ...advice, text, brief: !fault && !done && changes.join(" ") || text };
  }

  // What to ask of a change that is not what was advised, or is much of a wire; "" of any other. As trim.py's _unlike.
  function unlike(log, change, written_m) {
    const each = ["inner", "outer"].map((wire, i) => ({
      wire, done: change[i], has: log.lengths_m[i], asked: log.pending?.[`${wire}_m`] ?? 0 }));
    const much = each.find(({ done, has, asked }) => Math.abs(done) > rules.much * has && Math.abs(done) > 2 * Math.abs(asked));
    if (much) return say("much", { wire: much.wire, done_cm: 100 * much.done, has: written_m(much.has) });
    const back = each.find(({ done, asked }) => done * asked < 0);
    return back ? say("other_way", { wire: back.wire, asked_cm: 100 * back.asked, done_cm: 100 * back.done }) : "";
  }

  const fault = (log, low, high) => inMinima(low, high, log.lengths_m);

  return { begin, after, fault, isNear, unlike };
}
