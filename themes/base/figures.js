// Figures against any baseline, recomputed in the page from the readings: the
// same formulas, and the same digits, as the published figures have.
//
// Relative performance is a ratio of centres with Fieller's interval (J. R.
// Statist. Soc. B 16, 1954, 175–185) and Satterthwaite's degrees of freedom;
// where that is no interval, the log ratio's. What sessions differ by is taken
// out: two cells are compared within those in which both were read. No difference
// is claimed beyond Holm's correction over the column (Scand. J. Statist. 6, 1979).
//
// Works without a page: `figures(data)` takes what figures.data.js holds.
(function (root) {
  "use strict";

  // --- distributions -------------------------------------------------------

  const lanczos = [0.99999999999980993, 676.5203681218851, -1259.1392167224028, 771.32342877765313, -176.61502916214059,
    12.507343278686905, -0.13857109526572012, 9.9843695780195716e-6, 1.5056327351493116e-7];

  // ln Γ(x) for x > 0 (C. Lanczos, SIAM J. Numer. Anal. B 1, 1964; coefficients from memory, g = 7).
  function lnGamma(x) {
    x -= 1;
    let a = lanczos[0];
    for (let i = 1; i < 9; i++) a += lanczos[i] / (x + i);
    const t = x + 7.5;
    return 0.5 * Math.log(2 * Math.PI) + (x + 0.5) * Math.log(t) - t + Math.log(a);
  }

  // The regularised incomplete beta function by its continued fraction
  // (Abramowitz and Stegun 26.5.8), evaluated after Lentz.
  function beta(a, b, x) {
    if (x <= 0) return 0;
    if (x >= 1) return 1;
    if (x > (a + 1) / (a + b + 2)) return 1 - beta(b, a, 1 - x);
    const front = Math.exp(lnGamma(a + b) - lnGamma(a) - lnGamma(b) + a * Math.log(x) + b * Math.log1p(-x)) / a;
    const tiny = 1e-300;
    let c = 1, d = 1 - ((a + b) * x) / (a + 1);
    d = 1 / (Math.abs(d) < tiny ? tiny : d);
    let f = d;
    for (let m = 1; m <= 2000; m++) {
      for (const k of [(m * (b - m) * x) / ((a + 2 * m - 1) * (a + 2 * m)), (-(a + m) * (a + b + m) * x) / ((a + 2 * m) * (a + 2 * m + 1))]) {
        d = 1 + k * d;
        d = 1 / (Math.abs(d) < tiny ? tiny : d);
        c = 1 + k / c;
        if (Math.abs(c) < tiny) c = tiny;
        f *= c * d;
      }
      if (Math.abs(c * d - 1) < 1e-15) break;
    }
    return front * f;
  }

  // Two-sided p of a t value; df 0 is the normal distribution.
  function twoSided(t, df) {
    t = Math.abs(t);
    if (df === 0) df = 1e7;
    return beta(df / 2, 0.5, df / (df + t * t));
  }

  // The t value whose two-sided p is 1 − level: Newton's steps from the expansion
  // of Cornish and Fisher (Abramowitz and Stegun 26.7.5), or bisection where
  // degrees of freedom are so few that it starts too far off.
  const quantiles = new Map();
  function critical(level, df) {
    const key = level + "/" + df;
    let v = quantiles.get(key);
    if (v !== undefined) return v;
    const p = 1 - level;
    v = df === 0 || df < 2 ? NaN : newton(p, critical(level, 0), df);
    if (!(v > 0)) v = bisect(p, df);
    quantiles.set(key, v);
    return v;
  }

  function newton(p, z, df) {
    let t = z + (z ** 3 + z) / (4 * df) + (5 * z ** 5 + 16 * z ** 3 + 3 * z) / (96 * df * df);
    const scale = lnGamma((df + 1) / 2) - lnGamma(df / 2) - 0.5 * Math.log(df * Math.PI);
    for (let i = 0; i < 12; i++) {
      const density = Math.exp(scale - ((df + 1) / 2) * Math.log1p((t * t) / df));
      const step = (twoSided(t, df) - p) / (2 * density);
      t += step;
      if (Math.abs(step) < 1e-13 * t) return t;
    }
    return NaN;
  }

  function bisect(p, df) {
    let low = 0, high = 2;
    while (twoSided(high, df) > p && high < 1e12) high *= 2;
    for (let i = 0; i < 200 && high - low > 1e-13 * high; i++) {
      const middle = (low + high) / 2;
      if (twoSided(middle, df) > p) low = middle;
      else high = middle;
    }
    return (low + high) / 2;
  }

  // --- numbers for people ----------------------------------------------------

  function exponentOf(v, digits) { return +v.toExponential(digits).split("e")[1]; }
  // Decimals that an uncertainty supports: two digits when it starts with 1, else one.
  function decimals(half) {
    if (!(half > 0) || !isFinite(half)) return null;
    const [mantissa, exponent] = half.toExponential(1).split("e");
    return mantissa[0] === "1" ? 1 - exponent : -exponent;
  }
  function stepDecimals(step) { return step > 0 && isFinite(step) ? -exponentOf(step, 6) : null; }
  function significant(v, n) { return v === 0 || !isFinite(v) ? 0 : n - 1 - exponentOf(Math.abs(v), n - 1); }

  function writer(mark) {
    function plain(v, d) {
      if (!isFinite(v)) return "–";
      const a = Math.abs(v);
      if (d > 3 || a >= 1e9) d = Math.min(d, significant(v, 12));
      if (a >= 1e9 || (a !== 0 && a < 1e-4 && d > 5) || d > 9) return scientific(v, d);
      if (d < 0) {
        const step = 10 ** -d;
        v = Math.sign(v) * Math.round(a / step) * step;
        d = 0;
      }
      let [whole, fraction] = halfToEven(Math.abs(v), d).toFixed(d).split(".");
      if (whole.length > 4) whole = whole.replace(/\B(?=(\d{3})+$)/g, "\u202f");
      const text = whole + (fraction ? mark + fraction : "");
      return v < 0 && /[1-9]/.test(text) ? "−" + text : text;
    }
    // toFixed rounds what lies exactly half-way up; the report rounds it to even.
    // Only a sum of halves, quarters … with d + 1 digits behind the point can be that.
    function halfToEven(a, d) {
      const scaled = a * 10 ** d, below = Math.floor(scaled);
      return scaled - below === 0.5 && below % 2 === 0 && Number.isInteger(a * 2 ** (d + 1)) ? below / 10 ** d : a;
    }
    function scientific(v, d) {
      const digits = Math.max(0, Math.min(d + exponentOf(Math.abs(v), 16), 11));
      const [mantissa, exponent] = Math.abs(v).toExponential(digits).split("e");
      const raised = String(+exponent).replace(/[-0-9]/g, (c) => (c === "-" ? "⁻" : "⁰¹²³⁴⁵⁶⁷⁸⁹"[c]));
      return (v < 0 ? "−" : "") + mantissa.replace(".", mark) + "\u00a0×\u00a010" + raised;
    }
    function signed(v, d) {
      const text = plain(v, d);
      return v > 0 && /[1-9]/.test(text) ? "+" + text : text;
    }
    return { plain, signed };
  }

  // --- figures ---------------------------------------------------------------

  function figures(data) {
    const level = data.confidence;
    const say = (key, gaps = {}) => (data.words[key] ?? "").replace(/\{([a-z-]+)\}/g, (all, name) => gaps[name] ?? all);
    const { plain, signed } = writer(data.decimal);
    const kept = Symbol("kept"); // of a cell: what is worked out once it is asked for
    const samples = data.cells.map((row) => row.map((cell, w) => summarise(cell, data.workloads[w])));
    const lent = data.workloads.map((workload, w) => lend(workload, w));
    for (const row of samples) row.forEach(borrow);
    data.workloads.forEach((workload, w) => {
      if (workload.derived) samples.forEach((row) => { if (row[w].n === 0) carry(row, w, workload.derived); });
    });

    // One cell: centre, and standard error of the centre (relative on a ratio scale).
    function summarise(cell, workload) {
      const s = { n: 0, size: 0, centre: 0, se: 0, df: 0, spread: "none", usable: false, sd: 0, sessions: [], failed: "", stretch: 0, [kept]: { beside: null, sides: null, against: null, composed: null, blocks: null } };
      if (typeof cell === "string") s.failed = cell;
      if (!Array.isArray(cell)) return s;
      s.sessions = cell.map(([session, ...values]) => ({ session, values }));
      const values = s.sessions.flatMap((x) => x.values).sort((a, b) => a - b);
      const n = (s.n = s.size = values.length);
      const mean = meanOf(values);
      s.centre = workload.median ? (values[(n - 1) >> 1] + values[n >> 1]) / 2 : mean;
      s.usable = workload.interval || s.centre > 0;
      if (!s.usable || n < 2) return s;
      s.sd = Math.sqrt(sum(values.map((v) => (v - mean) ** 2)) / (n - 1));
      let se = s.sd / Math.sqrt(n), df = n - 1, spread = "own";
      if (workload.median) se *= Math.sqrt(Math.PI / 2);
      const rounding = workload.step / Math.sqrt(12);
      if (s.sd < workload.step / 2 && rounding > se) [se, df, spread] = [rounding, 0, "step"];
      if (!workload.interval) se /= s.centre;
      if (se > 0 && isFinite(se)) Object.assign(s, { se, df, spread });
      return s;
    }

    // The spread that cells of one reading borrow: that within cells and sessions
    // where enough is known of it, else that of the repeated cells.
    function lend(workload, w) {
      let squares = 0, df = 0, within = 0, freedom = 0;
      for (const row of samples) {
        const s = row[w];
        if (s.n === 0 || !s.usable) continue;
        if (stated(s)) {
          for (const { values } of s.sessions) {
            const mean = sum(values) / values.length;
            if (values.length > 1) within += sum(values.map((v) => ((v - mean) / (workload.interval ? 1 : mean)) ** 2));
            freedom += values.length - 1;
          }
        }
        if (s.n < 2) continue;
        const sd = workload.interval ? s.sd : s.sd / s.centre;
        squares += (s.n - 1) * sd * sd;
        df += s.n - 1;
      }
      if (freedom >= 3 && within > 0) [squares, df] = [within, freedom];
      return df === 0 || squares === 0 ? null : { se: Math.sqrt(squares / df), df };
    }

    // Whether every reading of a cell has a session.
    function stated(s) { return s.sessions.length > 0 && s.sessions.every((b) => b.session >= 0); }

    // A cell with one reading borrows it.
    function borrow(s, w) {
      if (s.n === 1 && s.usable && lent[w] !== null) Object.assign(s, lent[w], { spread: "borrowed" });
    }

    // The errors of two cells of which one borrows: one spread for both, known
    // with its own degrees of freedom.
    function borrowing(x, y, w) {
      const { se, df } = lent[w], inflated = (s) => (data.workloads[w].median && s.n > 1 ? Math.sqrt(Math.PI / 2) : 1);
      const [p, q] = [x, y].map((s) => se * Math.sqrt(s.stretch || 1 / s.n) * inflated(s));
      return { x: p, y: q, se: Math.hypot(p, q), df };
    }

    // A derived workload that no run gave is computed from the centres of its parts.
    function carry(row, w, formula) {
      let value = formula.factor, known = true, size = 0;
      const parts = powers(formula).map(([power, i]) => ({ se: Math.abs(power) * row[i].se, df: row[i].df }));
      for (const [list, over] of [[formula.times, false], [formula.over, true]]) {
        for (const i of list) {
          const part = row[i];
          if (!part.usable || data.workloads[i].interval) return;
          value = over ? value / part.centre : value * part.centre;
          known = known && part.spread !== "none";
          if (size === 0 || part.size < size) size = part.size;
        }
      }
      if (!(value > 0) || !isFinite(value) || parts.length === 0) return;
      const s = row[w];
      Object.assign(s, { centre: value, usable: true, size });
      if (known) {
        const e = add(parts);
        Object.assign(s, { se: e.se, df: e.df, spread: "carried" });
      }
    }

    function sum(list) { // with the rounding errors of the partial sums added back (Neumaier 1974)
      let total = 0, lost = 0;
      for (const v of list) {
        const t = total + v;
        lost += Math.abs(total) >= Math.abs(v) ? total - t + v : v - t + total;
        total = t;
      }
      return total + lost;
    }

    // The mean to the last bit, which decides how what lies half-way is written: the
    // quotient with what it leaves over added back.
    function meanOf(list) {
      const mean = sum(list) / list.length;
      return mean + sum(list.map((v) => v - mean)) / list.length;
    }

    // Variances add; degrees of freedom after Satterthwaite (Biometrics Bulletin 2, 1946).
    function add(list) {
      let variance = 0, lack = 0;
      for (const { se, df } of list) {
        const v = se * se;
        variance += v;
        if (df > 0) lack += (v * v) / df;
      }
      return { se: Math.sqrt(variance), df: lack > 0 ? (variance * variance) / lack : 0 };
    }

    // What is added over workloads, an estimate for each: independent between
    // runs; workloads of the same runs as if their errors went together in full.
    function addOver(workloads, list) {
      const family = workloads.map((_, i) => i);
      workloads.forEach((w, i) => {
        for (let j = 0; j < i; j++) {
          if (family[j] === family[i] || !data.workloads[workloads[j]].runs.some((r) => data.workloads[w].runs.includes(r))) continue;
          const low = Math.min(family[i], family[j]), high = Math.max(family[i], family[j]);
          for (let k = 0; k <= i; k++) if (family[k] === high) family[k] = low;
        }
      });
      return add(family.flatMap((f, i) => (f === i ? [asOne(list.filter((_, j) => family[j] === i))] : [])));
    }

    function asOne(list) {
      if (list.length === 1) return list[0];
      const known = list.filter(({ se, df }) => se > 0 && df > 0).map(({ df }) => df);
      return { se: sum(list.map(({ se }) => se)), df: known.length ? Math.min(...known) : 0 };
    }

    // --- sessions --------------------------------------------------------------

    const proportional = (x, y) => x.sessions.length === y.sessions.length && x.sessions.every((a, i) =>
      a.session === y.sessions[i].session && a.values.length * y.n === y.sessions[i].values.length * x.n);
    // The weight of a session with so many readings on either side: that of least
    // squares for cell + session.
    const shareOf = (a, b) => (a.values.length * b.values.length) / (a.values.length + b.values.length);

    // Two cells as they are compared: of the sessions in which both were read
    // alone, each with the same share on either side. The last answer is kept,
    // since a column and the composite ask for the same.
    function sides(a, b, w) {
      const x = samples[a][w], y = samples[b][w];
      if (a === b) return [x, y];
      const own = x[kept];
      if (own.beside !== y) [own.beside, own.sides] = [y, commonSides(x, y, w)];
      return own.sides;
    }

    function commonSides(x, y, w) {
      if (!stated(x) || !stated(y) || proportional(x, y)) return [x, y];
      const shared = (s, other) => s.sessions.filter((p) => other.sessions.some((q) => q.session === p.session));
      const both = [shared(x, y), shared(y, x)].map((list) => {
        const s = summarise(list.map((p) => [p.session, ...p.values]), data.workloads[w]);
        borrow(s, w);
        return s;
      });
      const [p, q] = both;
      if (p.n === 0) return [x, y];
      if (!proportional(p, q)) {
        const shares = p.sessions.map((t, i) => shareOf(t, q.sessions[i])), total = sum(shares);
        for (const s of both) standardise(s, shares.map((v) => v / total), data.workloads[w]);
      }
      return p.usable && q.usable ? both : [x, y];
    }

    // The centre as the mean of the sessions' centres with the given shares.
    function standardise(s, shares, workload) {
      if (!s.usable) return;
      const middle = (v) => (workload.median ? (v[(v.length - 1) >> 1] + v[v.length >> 1]) / 2 : sum(v) / v.length);
      const centre = sum(s.sessions.map((t, i) => shares[i] * middle([...t.values].sort((a, b) => a - b))));
      const stretch = sum(s.sessions.map((t, i) => shares[i] ** 2 / t.values.length));
      let se = s.se * Math.sqrt(s.n * stretch);
      if (!workload.interval) se *= s.centre / centre;
      Object.assign(s, { centre, se, stretch, usable: (workload.interval || centre > 0) && isFinite(se) });
    }

    const shareSession = (x, y) => x.sessions.some((p) => p.session >= 0 && y.sessions.some((q) => q.session === p.session));

    // Those that were read in two sessions or more, by workload.
    const twice = data.workloads.map((_, w) => samples.map((row, c) => [row[w], c])
      .filter(([s]) => s.sessions.length > 1 && s.usable && stated(s)).map(([, c]) => c));

    // The configuration through which two cells that share no session are
    // compared: of those that were read in a session of each, in one state, the one
    // with the most readings to go by, the first of equals; −1 for none.
    function link(a, b, w) {
      const x = samples[a][w], y = samples[b][w];
      let best = -1, most = 0;
      if (a === b || twice[w].length === 0 || !stated(x) || !stated(y) || shareSession(x, y)) return best;
      for (const c of twice[w]) {
        const p = c === a || c === b ? 0 : weightOf(x, samples[c][w]), q = p > 0 ? weightOf(y, samples[c][w]) : 0;
        if (q > 0 && (p * q) / (p + q) > most * (1 + 1e-9) && sameState(c, x, y, w)) [best, most] = [c, (p * q) / (p + q)];
      }
      return best;
    }

    // Whether configuration c was in one state in all sessions in which it was read
    // beside either of two cells.
    const states = new Map((data.states ?? []).map(([c, session, state]) => [c + "/" + session, state]));
    function sameState(c, x, y, w) {
      if (states.size === 0) return true;
      const all = [x, y].flatMap((s) => samples[c][w].sessions.filter((p) => s.sessions.some((q) => q.session === p.session)));
      return new Set(all.map((p) => states.get(c + "/" + p.session) ?? 0)).size < 2;
    }

    const weightOf = (x, y) => sum(x.sessions.flatMap((p) => y.sessions.filter((q) => q.session === p.session).map((q) => shareOf(p, q))));

    // What is not made of its two cells alone: cells that share no session by
    // what each is against the baseline, computed cells by their parts. null for
    // all others. { value, se, df, n, state }, a minus b, of logarithms on a ratio
    // scale.
    function composed(a, b, w) {
      const x = samples[a][w], y = samples[b][w];
      if (a === b || !x.usable || !y.usable) return null;
      const own = x[kept];
      if (own.against !== y) [own.against, own.composed] = [y, x.n === 0 && y.n === 0 ? computed(a, b, w) : linked(a, b, w)];
      return own.composed;
    }

    function linked(a, b, w) {
      const base = link(a, b, w);
      return base < 0 ? null : total([[1, estimate(a, base, w)], [-1, estimate(b, base, w)]]);
    }

    function computed(a, b, w) {
      const { derived } = data.workloads[w];
      return derived ? total(powers(derived).map(([power, i]) => [power, estimate(a, b, i)]), powers(derived).map(([, i]) => i)) : null;
    }

    // The workloads of a formula with their powers.
    function powers(formula) {
      const of = new Map();
      for (const i of formula.times) of.set(i, (of.get(i) ?? 0) + 1);
      for (const i of formula.over) of.set(i, (of.get(i) ?? 0) - 1);
      return [...of].filter(([, power]) => power !== 0).map(([i, power]) => [power, i]);
    }

    function estimate(a, b, w) {
      const workload = data.workloads[w], [x, y] = sides(a, b, w), st = stateOf(x, y);
      const scale = (v) => (workload.interval ? v : Math.log(v));
      const value = scale(x.centre) - scale(y.centre);
      return composed(a, b, w) ?? { value, n: Math.min(x.size, y.size), state: st, ...(st === "unknown" ? { se: 0, df: 0 } : within(x, y, workload) ?? errors(x, y, w)) };
    }

    // The error of two cells without what sessions share.
    function errors(x, y, w) {
      return stateOf(x, y) === "borrowed" && x.n > 0 && y.n > 0 ? borrowing(x, y, w) : add([x, y]);
    }

    function total(terms, workloads) {
      const states = terms.map(([, e]) => e.state);
      const st = states.includes("unknown") ? "unknown" : states.includes("borrowed") ? "borrowed" : "measured";
      const together = (list) => (workloads ? addOver(workloads, list) : add(list));
      return { value: sum(terms.map(([power, e]) => power * e.value)), n: Math.min(...terms.map(([, e]) => e.n)), state: st,
        ...(st === "unknown" ? { se: 0, df: 0 } : together(terms.map(([power, e]) => ({ se: Math.abs(power) * e.se, df: e.df })))) };
    }

    // What a comparison within sessions needs of a cell's readings, on the scale
    // on which they are compared; worked out at the first comparison.
    function blocks(s, workload) {
      if (s[kept].blocks === null) {
        const values = s.sessions.map((b) => (workload.interval ? b.values : b.values.map(Math.log)));
        const means = values.map((v) => sum(v) / v.length);
        const squares = sum(values.map((v, i) => apart(v, means[i])));
        s[kept].blocks = { means, squares };
      }
      return s[kept].blocks;
    }

    function apart(values, from) {
      let squares = 0;
      for (const v of values) squares += (v - from) * (v - from);
      return squares;
    }

    // The standard error of a difference of two cells read in the same two or
    // more sessions: a randomised block.
    function within(x, y, workload) {
      const n = x.sessions.length;
      if (workload.median || n < 2 || n !== y.sessions.length || !stated(x) || x.sessions.some((a, i) => a.session !== y.sessions[i].session)) return null;
      const df = x.n + y.n - n - 1;
      if (df < 2 || x.spread !== "own" || y.spread !== "own") return null;
      const p = blocks(x, workload), q = blocks(y, workload);
      const shares = x.sessions.map((a, i) => shareOf(a, y.sessions[i])), total = sum(shares);
      const differences = p.means.map((m, i) => m - q.means[i]);
      const difference = sum(differences.map((d, i) => shares[i] * d)) / total;
      const squares = p.squares + q.squares + sum(differences.map((d, i) => shares[i] * (d - difference) ** 2));
      const sd = Math.sqrt(squares / df);
      if (!(sd > 1e-12)) return null;
      const step = workload.interval ? workload.step : workload.step / Math.min(x.centre, y.centre);
      if (sd < step / 2) return null;
      return { se: sd / Math.sqrt(total), df };
    }

    // Fieller's set for two independent estimates, if it is an interval above nought.
    function fieller(a, b, df) {
      const ratio = a.centre / b.centre, va = a.se * ratio, vb = b.se;
      const variance = (r) => va * va + (r * vb) ** 2;
      const t = critical(level, df), g = (t * vb) ** 2;
      const root = t * Math.sqrt(Math.max(0, variance(ratio) - t * t * va * va * vb * vb));
      if (!(g < 1)) return null;
      const low = (ratio - root) / (1 - g), high = (ratio + root) / (1 - g);
      if (!(low > 0) || low > ratio || high < ratio) return null;
      return { low, high, p: twoSided((ratio - 1) / Math.sqrt(variance(1)), df) };
    }

    const stateOf = (x, y) => x.spread === "none" || y.spread === "none" ? "unknown" : x.spread === "borrowed" || y.spread === "borrowed" ? "borrowed" : "measured";
    const state = (list) => list.some((s) => s.spread === "none") ? "unknown" : list.some((s) => s.spread === "borrowed") ? "borrowed" : "measured";

    // Relative performance of configuration c against b under workload w:
    // { state, value, low, high, p, verdict, text, short, range }. With later set,
    // the interval and the texts wait until complete() is called, which a long
    // table does for the rows in sight: p decides what may be claimed just as well.
    function relative(b, c, w, later) {
      const workload = data.workloads[w], whole = samples[c][w];
      if (whole.size === 0) return whole.failed ? { state: "failed", text: whole.failed } : { state: "absent" };
      if (workload.interval || !whole.usable || !samples[b][w].usable) return { state: "not-comparable" };
      if (b === c) return { state: "measured", value: 1, low: 1, high: 1, short: "100", text: say("figure.baseline"), range: "", verdict: "open", baseline: true };
      const sums = composed(c, b, w);
      if (sums !== null) return composedRatio(sums, b, c, w);
      const [x, y] = sides(c, b, w);
      const f = { state: stateOf(x, y), value: workload.turned ? y.centre / x.centre : x.centre / y.centre, n: Math.min(x.size, y.size) };
      if (f.state !== "unknown") {
        const block = within(x, y, workload);
        const e = block ?? errors(x, y, w);
        const [p, q] = [{ centre: x.centre, se: e.x ?? x.se }, { centre: y.centre, se: e.y ?? y.se }];
        const [num, den] = workload.turned ? [q, p] : [p, q];
        // Where there is surely an interval: Fieller's set, or a block's.
        if (later && e.df >= 2 && (block ? e.se < 1 : num.se < 0.01 && den.se < 0.01)) {
          // p waits until somebody needs it.
          f.t = block ? Math.abs(Math.log(f.value)) / e.se : Math.abs(f.value - 1) / Math.hypot(num.se * f.value, den.se);
          f.df = e.df;
          f.verdict = below(x.centre - y.centre, workload) ? "same" : judged(f.value > 1 ? "better" : "worse", workload);
          f.complete = () => {
            const { verdict } = f;
            if (block) logInterval(f, e);
            else Object.assign(f, fieller(num, den, e.df), { interval: true });
            finish(f, stepOf(b, c, w), workload);
            Object.assign(f, { verdict, complete: undefined });
          };
          return f;
        }
        const set = block ? null : fieller(num, den, e.df);
        if (set) Object.assign(f, set, { interval: true });
        else logInterval(f, e);
      }
      finish(f, stepOf(b, c, w), workload);
      if (below(x.centre - y.centre, workload)) f.verdict = "same";
      return f;
    }

    function composedRatio(e, b, c, w) {
      const workload = data.workloads[w];
      const f = { state: e.state, value: Math.exp(workload.turned ? -e.value : e.value), n: e.n };
      if (f.state !== "unknown") logInterval(f, e);
      finish(f, stepOf(b, c, w), workload);
      if (below(Math.expm1(e.value) * samples[b][w].centre, workload)) f.verdict = "same";
      return f;
    }

    // What the instrument's step amounts to in a ratio of two cells.
    function stepOf(b, c, w) {
      const { step } = data.workloads[w];
      return Math.hypot(step / samples[c][w].centre, step / samples[b][w].centre);
    }

    // A difference that the instrument cannot show.
    function below(difference, workload) {
      return workload.declared > 0 && Math.abs(difference) < workload.declared * (1 - 1e-9);
    }

    function logInterval(f, e) {
      const half = critical(level, e.df) * e.se;
      const low = Math.exp(Math.log(f.value) - half), high = Math.exp(Math.log(f.value) + half);
      if (half > 0 && isFinite(high) && low > 0) Object.assign(f, { low, high, p: twoSided(Math.log(f.value) / e.se, e.df), interval: true });
      else f.state = "unknown";
    }

    // Which way a ratio is judged: one that is not turned, of a workload of which
    // less is better, the other way round.
    function judged(verdict, workload) {
      if (!workload || workload.higher || workload.turned) return verdict;
      return verdict === "better" ? "worse" : verdict === "worse" ? "better" : verdict;
    }

    function finish(f, step, workload) {
      if (!f.interval) Object.assign(f, { low: f.value, high: f.value });
      f.verdict = !f.interval ? "open" : judged(f.low > 1 ? "better" : f.high < 1 ? "worse" : "same", workload);
      let d = multiple(f.value) ? significant(f.value, 2) - 2 : 0;
      if (f.interval) d = percentDecimals(f.low, f.high) ?? d;
      const by = stepDecimals(100 * step);
      if (by !== null) d = Math.min(d, by);
      f.decimals = Math.max(0, d);
      f.short = plain(100 * f.value, Math.max(0, d));
      f.text = effect(f.value, d);
      f.range = "";
      if (f.interval) {
        const m = multiple(f.value) ? multipleDecimals(f.value, d) : d;
        const end = multiple(f.value) ? (v) => plain(v, m) : (v) => signed(100 * (v - 1), apartFromNought(100 * (f.low - 1), 100 * (f.high - 1), Math.max(0, d)));
        f.range = say("figure.range", { low: end(f.low), high: end(f.high) + "\u00a0" + (multiple(f.value) ? "×" : "%") });
      }
    }

    function multiple(ratio) { return ratio >= 2 || ratio <= 0.1; }
    // An interval on one side of nought has one decimal more where that keeps
    // both its ends there as written.
    function apartFromNought(low, high, d) {
      const near = Math.min(Math.abs(low), Math.abs(high)), nought = (d) => near * 10 ** d < 0.5;
      return (low > 0 || high < 0) && nought(d) && !nought(d + 1) ? d + 1 : d;
    }
    function multipleDecimals(ratio, d) { return Math.min(Math.max(d + 2, significant(ratio, 1)), significant(ratio, 3)); }
    function effect(ratio, d) {
      if (multiple(ratio)) return plain(ratio, multipleDecimals(ratio, d)) + "\u00a0×";
      return signed(100 * (ratio - 1), Math.max(0, d)) + "\u00a0%";
    }
    function percentDecimals(low, high) {
      let d = decimals((100 * (high - low)) / 2);
      if (d === null) return null;
      const near = low > 1 ? 100 * (low - 1) : high < 1 ? 100 * (1 - high) : null;
      for (let i = 0; near !== null && i < 2 && Math.round(near * 10 ** d) === 0; i++) d++;
      return d;
    }

    // A composite: the weighted geometric mean over all its workloads.
    function composite(k, b, c, later) {
      const { workloads, weights } = data.composites[k];
      if (workloads.length === 0) return { state: "absent" };
      const used = workloads.filter((w) => samples[c][w].usable && samples[b][w].usable);
      if (used.length < workloads.length) return { state: used.length ? "not-comparable" : "absent" };
      if (b === c) return { state: "measured", value: 1, low: 1, high: 1, short: "100", text: say("figure.baseline"), range: "", verdict: "open", baseline: true };
      if (workloads.length === 1) return relative(b, c, workloads[0], later);
      const total = sum(weights);
      let log = 0, step = 0;
      const parts = [];
      const states = [];
      workloads.forEach((w, i) => {
        const share = weights[i] / total, e = estimate(c, b, w);
        log += share * (data.workloads[w].higher ? 1 : -1) * e.value;
        states.push(e.state);
        parts.push({ se: share * e.se, df: e.df });
        step += (share * stepOf(b, c, w)) ** 2;
      });
      const f = { state: states.includes("unknown") ? "unknown" : states.includes("borrowed") ? "borrowed" : "measured", value: Math.exp(log) };
      const e = f.state === "unknown" ? null : addOver(workloads, parts);
      if (later && e !== null && e.df >= 2 && e.se > 0 && e.se < 1) return postponed(f, e, (g) => { logInterval(g, e); finish(g, Math.sqrt(step)); });
      if (e !== null) logInterval(f, e);
      finish(f, Math.sqrt(step));
      return f;
    }

    // A figure on a log scale whose interval and texts wait for complete(), and
    // whose p waits until somebody needs it.
    function postponed(f, e, work) {
      f.t = Math.abs(Math.log(f.value)) / e.se;
      f.df = e.df;
      f.verdict = f.value > 1 ? "better" : "worse";
      f.complete = () => {
        const { verdict } = f;
        work(f);
        Object.assign(f, { verdict, complete: undefined });
      };
      return f;
    }

    // The difference of centres on an interval scale, c minus b, in the unit.
    function difference(b, c, w) {
      const workload = data.workloads[w], whole = samples[c][w];
      if (whole.size === 0) return whole.failed ? { state: "failed", text: whole.failed } : { state: "absent" };
      if (samples[b][w].size === 0) return { state: "not-comparable" };
      const e = estimate(c, b, w);
      const f = { state: e.state, value: e.value, verdict: "open", range: "" };
      f.low = f.high = f.value;
      if (f.state !== "unknown") {
        const half = critical(level, e.df) * e.se;
        if (half > 0 && isFinite(half)) Object.assign(f, { low: f.value - half, high: f.value + half, p: twoSided(f.value / e.se, e.df), interval: true });
        else f.state = "unknown";
      }
      if (f.interval) {
        f.verdict = f.low > 0 ? "better" : f.high < 0 ? "worse" : "same";
        if (workload.declared > 0 && Math.abs(f.value) < workload.declared * (1 - 1e-9)) f.verdict = "same";
        if (!workload.higher && f.verdict !== "same") f.verdict = f.verdict === "better" ? "worse" : "better";
      }
      let d = (f.interval ? decimals((f.high - f.low) / 2) : null) ?? significant(f.value, 2);
      const by = stepDecimals(workload.step);
      if (by !== null) d = Math.min(d, by);
      const unit = workload.unit ? "\u00a0" + workload.unit : "";
      f.short = signed(f.value, d);
      f.text = f.short + unit;
      if (f.interval) {
        const ends = apartFromNought(f.low, f.high, d);
        f.range = say("figure.range", { low: signed(f.low, ends), high: signed(f.high, ends) + unit });
      }
      return f;
    }

    // Holm's correction over a column of figures: claims that do not survive it
    // are taken back. What has p below α/m survives whatever the others are, and
    // what has p above α never does, so that p itself is needed in between only;
    // whole degrees of freedom, rounded to the safe side, tell which is which.
    function correct(column) {
      const all = column.filter((f) => f.p !== undefined || f.t !== undefined);
      const surely = 1 - (1 - level) / Math.max(2, all.length);
      const family = [];
      let sure = 0;
      for (const f of all) {
        if (f.p === undefined && f.t > critical(surely, Math.floor(f.df))) sure++;
        else if (f.p === undefined && f.t < critical(level, Math.ceil(f.df) + 1)) f.verdict = "same";
        else {
          f.p ??= twoSided(f.t, f.df);
          if (f.t !== undefined && f.p >= 1 - level) f.verdict = "same";
          family.push(f);
        }
      }
      if (all.length < 2) return column;
      family.sort((a, b) => a.p - b.p);
      let floor = 0;
      family.forEach((f, i) => {
        floor = Math.max(floor, Math.min(1, (all.length - sure - i) * f.p));
        if ((f.verdict === "better" || f.verdict === "worse") && floor > 1 - level) Object.assign(f, { verdict: "same", among: all.length });
      });
      return column;
    }

    // A column of the table of relative performance against baseline b.
    const every = data.configurations.map((_, c) => c);
    const column = (b, w) => correct(every.map((c) => relative(b, c, w, true)));

    // Two configurations side by side on every workload, corrected for their
    // number; family is that number.
    function pair(a, b) {
      const list = data.workloads.map((workload, w) => (workload.interval ? difference(a, b, w) : relative(a, b, w)));
      return { figures: correct(list), family: list.filter((x) => x.p !== undefined).length };
    }

    // --- what differs ---------------------------------------------------------

    const setAgainst = new Set(data.set.map(([c, f]) => c + "/" + f));

    // Where a session that only one side has states another value, which takes no
    // part in their comparison.
    const elsewhere = data.factors.map((x) => new Set((x.elsewhere ?? []).map(([a, b]) => a + "/" + b)));

    // Those that have no reading in common but were tried in one session.
    const together = new Set((data.together ?? []).map(([a, b]) => a + "/" + b));

    function compared(a, b) {
      const { common, apart } = sittings(a, b);
      return sessions && common.length > 0 ? apart.length === 0 : together.has(Math.min(a, b) + "/" + Math.max(a, b));
    }

    // "same", "differs" or "unclear" for one factor of two configurations.
    function standing(f, a, b) {
      const x = data.levels[a][f], y = data.levels[b][f];
      if ((x === y && x >= 0) || (x === -1 && y === -1) || x === -3 || y === -3) return "same";
      if (data.factors[f].surroundings && compared(a, b)) return "same";
      if (elsewhere[f].has(Math.min(a, b) + "/" + Math.max(a, b))) return "same";
      if (x < 0 || y < 0) return "unclear";
      const [p, q] = [data.factors[f].numbers[x], data.factors[f].numbers[y]];
      if (p[0] === null || q[0] === null) return "differs";
      const low = Math.min(p[0], q[0]), high = Math.max(p[1], q[1]);
      const { absolute, relative } = data.factors[f];
      if (absolute === 0 && relative === 0) return "differs";
      const size = Math.max(Math.abs(low), Math.abs(high));
      return high - low <= Math.max(absolute, relative * size) + 1e-12 * size ? "same" : "differs";
    }

    function kindOf(f, a, b, studied) {
      const stands = standing(f, a, b);
      if (stands === "same") return null;
      if (studied.includes(f)) return stands === "unclear" ? "unknown" : "under-study";
      for (const parent of data.factors[f].parents) {
        if (standing(parent, a, b) === "same") continue;
        if (stands === "differs" && (setAgainst.has(a + "/" + f) || setAgainst.has(b + "/" + f))) return "independent";
        return "follower";
      }
      if (stands === "unclear") return "unknown";
      return data.factors[f].role === "nuisance" ? "nuisance" : "independent";
    }

    // What stands between two configurations, by kind.
    function between(a, b) {
      const all = data.factors.map((_, f) => f);
      const moved = all.filter((f) => data.factors[f].role === "studied" && kindOf(f, a, b, []) === "independent");
      const studied = moved.length === 1 ? moved : [];
      const name = (f, c) => data.factors[f].levels[data.levels[c][f]] ?? "–";
      return all.map((f) => ({ factor: f, kind: kindOf(f, a, b, studied), label: data.factors[f].label, from: name(f, a), to: name(f, b) }))
        .filter((d) => d.kind !== null);
    }

    // What was measured, else displayed, of each factor that was set.
    const found = new Map(data.found.map((x) => [x.configuration + "/" + x.factor, x]));

    // What was displayed or measured and belies the comparison of what was set:
    // the factors in which two configurations were set alike and seem to differ,
    // and the one that is compared where another step was made.
    function doubts(a, b, differences) {
      if (found.size === 0 || a === b) return [];
      const out = [];
      const kinds = new Map(differences.map((d) => [d.factor, d.kind]));
      data.factors.forEach((factor, i) => {
        const side = (c) => {
          const at = data.levels[c][i];
          if (found.has(c + "/" + i)) return found.get(c + "/" + i);
          if (at < 0) return { text: null };
          const [low, high] = factor.numbers[at];
          return low !== null && low !== high ? { text: null } : { text: factor.levels[at], number: low };
        };
        const x = side(a), y = side(b);
        const declared = factor.absolute !== 0 || factor.relative !== 0;
        if (!x.otherwise && !y.otherwise && !(x.measured && y.measured && declared)) return;
        const kind = kinds.get(i);
        if (kind === undefined) {
          if (x.text === null || y.text === null || alike(x, y, factor, declared) || factor.parents.some((p) => standing(p, a, b) !== "same")) return;
        } else if (kind !== "under-study" || (!x.otherwise && !y.otherwise)) return;
        out.push({ step: kind !== undefined, index: i, factor: factor.label, from: x.text, to: y.text });
      });
      return out;
    }

    // The factors that were to stay the same and did not between two
    // configurations, as set or by what was displayed or measured.
    function unheld(a, b, differences = between(a, b)) {
      return differences.filter((d) => d.kind === "independent").map((d) => d.factor)
        .concat(doubts(a, b, differences).filter((d) => !d.step).map((d) => d.index))
        .filter((i) => !["studied", "nuisance"].includes(data.factors[i].role)).sort((x, y) => x - y);
    }

    // Whether two values that were found are the same, within the tolerance, or
    // within 2 % where none is declared.
    function alike(x, y, { absolute, relative }, declared) {
      if (x.number === null || y.number === null) return x.text === y.text;
      const size = Math.max(Math.abs(x.number), Math.abs(y.number));
      return Math.abs(x.number - y.number) <= Math.max(absolute, (declared ? relative : 0.02) * size) + 1e-12 * size;
    }

    // Whether sessions were written down at all: without any there is nothing to
    // tell apart.
    const sessions = data.cells.some((row) => row.some((cell) => Array.isArray(cell) && cell.some(([session]) => session >= 0)));

    // The workloads on which two configurations were both read, and those of them
    // on which that was never in one session, nor through a third.
    function sittings(a, b) {
      const common = data.workloads.map((_, w) => w).filter((w) => samples[a][w].n > 0 && samples[b][w].n > 0);
      const shared = (w) => shareSession(samples[a][w], samples[b][w]) || link(a, b, w) >= 0;
      return { common, apart: sessions && a !== b ? common.filter((w) => !shared(w)) : [] };
    }

    // What may be made of two configurations held against one another, as the
    // report says of each and the baseline.
    function verdict(a, b, differences = between(a, b)) {
      const moved = differences.filter((d) => d.kind !== "follower");
      const matched = moved.length === 1 && moved[0].kind === "under-study";
      const { common, apart } = sittings(a, b);
      const doubted = doubts(a, b, differences);
      const asSet = doubted.some((d) => !d.step) ? "-as-set" : "";
      let text = say(differences.length === 0 ? "compare.same" + asSet : matched ? "compare.clean" + asSet
        : moved.length === 1 ? "compare.one." + moved[0].kind : "compare.not-clean", { n: String(moved.length) });
      for (const d of doubted) text += " " + say(d.step ? "compare.belied-step" : "compare.belied", d);
      const n = apart.length, gaps = { n: String(n), of: String(common.length) };
      if (n > 0) text += " " + (n === common.length ? say("compare.apart") : say("compare.apart-on." + (n === 1 ? "one" : "other"), gaps));
      if (common.some((w) => sides(b, a, w)[0] !== samples[b][w])) text += " " + say("compare.within");
      if (common.some((w) => link(b, a, w) >= 0)) text += " " + say("compare.through");
      return { matched, clean: matched && n === 0 && doubted.length === 0, apart, text };
    }

    // The centre of a cell as written, with its unit; empty where there is none.
    function centre(c, w) {
      const s = samples[c][w], workload = data.workloads[w];
      if (s.size === 0) return "";
      const se = workload.interval ? s.se : s.se * s.centre;
      let d = significant(s.centre, 3);
      const by = stepDecimals(workload.step);
      if (by !== null) d = by;
      const half = s.spread === "none" ? 0 : critical(level, s.df) * se;
      const spread = decimals(half);
      if (spread !== null) d = by !== null ? Math.min(spread, by) : spread;
      return plain(s.centre, d) + (workload.unit ? "\u00a0" + workload.unit : "");
    }

    // --- readings from another machine ------------------------------------------

    // What somebody else read under workload w, beside configuration c: the same
    // formulas without what sessions share, and without any claim, since another
    // machine is never a matched comparison. step is the last digit written.
    function outside(c, w, values, step) {
      const workload = data.workloads[w];
      const x = summarise([[-1, ...values]], { ...workload, step }), y = samples[c][w];
      let relative = { state: "not-comparable" };
      if (y.size > 0) relative = workload.interval ? outsideDifference(x, y, workload, step) : outsideRatio(x, y, workload, step);
      return { w, x, y, step, relative, text: outsideCentre(x, workload, step), standing: x.usable ? among(x, w) : "" };
    }

    function outsideCentre(x, workload, step) {
      const by = stepDecimals(step);
      let d = by ?? significant(x.centre, 3);
      const spread = x.spread === "none" ? null : decimals(critical(level, x.df) * x.se * (workload.interval ? 1 : x.centre));
      if (spread !== null) d = by !== null ? Math.min(spread, by) : spread;
      return plain(x.centre, d) + (workload.unit ? "\u00a0" + workload.unit : "");
    }

    function outsideRatio(x, y, workload, step) {
      if (!x.usable || !y.usable) return { state: "not-comparable" };
      const [num, den] = workload.turned ? [y, x] : [x, y];
      const f = { state: stateOf(x, y), value: num.centre / den.centre };
      if (f.state !== "unknown") {
        const e = add([num, den]), set = fieller(num, den, e.df);
        if (set) Object.assign(f, set, { interval: true });
        else logInterval(f, e);
      }
      finish(f, Math.hypot(step / x.centre, workload.step / y.centre));
      return Object.assign(f, { verdict: "open", p: undefined });
    }

    function outsideDifference(x, y, workload, step) {
      const f = { state: stateOf(x, y), value: x.centre - y.centre, verdict: "open", range: "" };
      f.low = f.high = f.value;
      let d = significant(f.value, 2);
      if (f.state !== "unknown") {
        const e = add([x, y]), half = critical(level, e.df) * e.se;
        if (half > 0 && isFinite(half)) {
          Object.assign(f, { low: f.value - half, high: f.value + half, interval: true });
          d = decimals(half) ?? d;
        } else f.state = "unknown";
      }
      const by = stepDecimals(Math.max(step, workload.step));
      if (by !== null) d = Math.min(d, by);
      const unit = workload.unit ? "\u00a0" + workload.unit : "";
      f.short = signed(f.value, d);
      f.text = f.short + unit;
      if (f.interval) {
        const ends = apartFromNought(f.low, f.high, d);
        f.range = say("figure.range", { low: signed(f.low, ends), high: signed(f.high, ends) + unit });
      }
      return f;
    }

    // Where a sample would stand among the configurations.
    function among(x, w) {
      const workload = data.workloads[w], label = (c) => data.configurations[c].label;
      const worse = workload.higher ? (a, b) => a < b : (a, b) => a > b;
      const equal = Math.max(workload.declared * (1 - 1e-9), 1e-12 * Math.abs(x.centre));
      const nearest = { better: -1, worse: -1, level: -1 };
      for (const c of every) {
        const s = samples[c][w];
        if (s.size === 0 || !s.usable) continue;
        const apart = Math.abs(x.centre - s.centre);
        const side = apart <= equal ? "level" : worse(x.centre, s.centre) ? "better" : "worse";
        // Of two as near, rounding aside, the first is named.
        if (nearest[side] < 0 || apart < Math.abs(x.centre - samples[nearest[side]][w].centre) * (1 - 1e-12)) nearest[side] = c;
      }
      if (nearest.level >= 0) return say("outside.level", { name: label(nearest.level) });
      if (nearest.better < 0 && nearest.worse < 0) return "";
      if (nearest.better < 0) return say("outside.first", { name: label(nearest.worse) });
      if (nearest.worse < 0) return say("outside.last", { name: label(nearest.better) });
      return say("outside.between", { better: label(nearest.better), worse: label(nearest.worse) });
    }

    // The geometric mean of what outside() gave, over the workloads of performance.
    function outsideMean(list) {
      const counts = (w) => !w.interval && (w.higher || w.turned);
      const used = list.filter((o) => o.relative.value > 0 && counts(data.workloads[o.w]));
      if (used.length === 0) return { n: 0 };
      const n = used.length;
      const f = { n, state: state(used.flatMap(({ x, y }) => [x, y])), value: Math.exp(sum(used.map((o) => Math.log(o.relative.value))) / n) };
      if (f.state !== "unknown") logInterval(f, add(["x", "y"].map((side) => addOver(used.map((o) => o.w), used.map((o) => ({ se: o[side].se / n, df: o[side].df }))))));
      finish(f, Math.hypot(...used.map(({ x, y, w, step }) => Math.hypot(step / x.centre, data.workloads[w].step / y.centre) / n)));
      return Object.assign(f, { verdict: "open" });
    }

    return { data, say, plain, centre, relative, composite, difference, correct, column, pair, between, unheld, verdict, outside, outsideMean };
  }

  root.benchwrightFigures = figures;
})(typeof window === "undefined" ? globalThis : window);
