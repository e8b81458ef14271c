"use strict";
// Zoom and a readout for the timelines of this page, which are complete without. All that is done is to lay out anew
// what stands there already: whatever belongs to a time says so in data-t (to data-e), in seconds.
(() => {
  const NS = "http://www.w3.org/2000/svg", LEFT = 48, RIGHT = 76, APART = 28, WIDTH = 960;
  const STEPS = [0.1, 0.2, 0.5, 1, 2, 5, 10, 15, 30, 60, 120, 300, 600, 900, 1800, 3600, 7200, 14400, 43200, 86400];
  const all = (box, what) => [...box.querySelectorAll(what)];
  const put = (element, values) => {
    for (const name in values) element.setAttribute(name, values[name]);
    return element;
  };
  const px = value => value.toFixed(1);

  // A time as the page tells it everywhere: m:ss, or h:mm:ss; to a tenth.
  function clock(seconds, two) {
    const tenths = Math.round(Math.abs(seconds) * 10), whole = Math.floor(tenths / 10);
    const h = Math.floor(whole / 3600), min = Math.floor(whole / 60) % 60, s = String(whole % 60).padStart(2, "0");
    const tail = tenths % 10 ? "." + tenths % 10 : "";
    const sign = seconds < 0 && tenths ? "-" : "";
    const pad = n => String(n).padStart(2, "0");
    if (two) return `${pad(h % 24)}:${pad(min)}:${s}${tail}`;
    return sign + (h ? `${h}:${pad(min)}:${s}` : `${min}:${s}`) + tail;
  }

  function start(box) {
    const data = JSON.parse(box.querySelector("script").textContent);
    const whole = data.last - data.first, pictures = all(box, "svg");
    let from = data.first, to = data.last, at = null, width = WIDTH, drag = null;
    const x = time => LEFT + (time - from) / (to - from) * (width - LEFT - RIGHT);
    const timeAt = place => from + (place - LEFT) / (width - LEFT - RIGHT) * (to - from);
    const said = time => {
      if (data.zero === null) return [clock(time)];
      return [clock((((data.zero + time) % 86400) + 86400) % 86400, true), clock(time)];
    };

    // The point of a reading nearest to a time, and from which to which points a stretch is drawn.
    function nearest(series, time) {
      let low = 0, high = series.times.length - 1;
      while (low < high) {
        const middle = (low + high) >> 1;
        if (series.times[middle] < time) low = middle + 1; else high = middle;
      }
      return low > 0 && time - series.times[low - 1] < series.times[low] - time ? low - 1 : low;
    }
    const highs = series => series.high || series.low;

    function path(series, y) {
      const times = series.times, low = series.low, high = highs(series), gaps = new Set(series.broken);
      const first = Math.max(0, nearest(series, from) - 1), last = Math.min(times.length - 1, nearest(series, to) + 1);
      const join = Math.max(1, Math.ceil((last - first) / Math.max(200, width)));
      let found = "", before = null;
      for (let i = first; i <= last; i += join) {
        let a = low[i], b = high[i], end = Math.min(i + join - 1, last), gap = gaps.has(i);
        for (let k = i + 1; k <= end; k++) { a = Math.min(a, low[k]); b = Math.max(b, high[k]); gap ||= gaps.has(k); }
        const place = px(x((times[i] + times[end]) / 2)), pair = a === b ? [a] : [a, b];
        if (before !== null && pair.length > 1 && Math.abs(before - b) < Math.abs(before - a)) pair.reverse();
        for (const value of pair) {
          found += `${found && !gap ? "L" : "M"}${place} ${px(y(value))}`;
          gap = false;
          before = value;
        }
      }
      return found;
    }

    function spread(places, room) {
      // Each below the one before: enough for a handful of names.
      const ordered = places.map((place, i) => [place, i]).sort((a, b) => a[0] - b[0]);
      ordered.forEach((one, i) => { if (i && one[0] < ordered[i - 1][0] + room) one[0] = ordered[i - 1][0] + room; });
      const found = [];
      for (const [place, i] of ordered) found[i] = place;
      return found;
    }

    function bars(svg) {
      for (const bar of all(svg, "rect[data-t]")) {
        const end = x(+bar.dataset.e), wide = Math.max(end - x(+bar.dataset.t), +(bar.dataset.least || 0));
        const begin = Math.min(x(+bar.dataset.t), width - RIGHT - wide);
        const left = Math.max(begin, LEFT), right = Math.min(begin + wide, width - RIGHT);
        const seen = +bar.dataset.e >= from && +bar.dataset.t <= to && right > left;
        put(bar, {x: px(left), width: px(Math.max(0, right - left)), visibility: seen ? "visible" : "hidden"});
      }
      for (const line of all(svg, "line[data-t], text.markname")) {
        const seen = +line.dataset.t >= from && +line.dataset.t <= to, place = px(x(+line.dataset.t));
        put(line, line.tagName === "line" ? {x1: place, x2: place} : {x: place});
        line.setAttribute("visibility", seen ? "visible" : "hidden");
      }
      for (const text of all(svg, ".position")) {
        // What lasts from before stands at the left edge; where there is no room for the word the bar stands alone.
        const begin = Math.max(x(+text.dataset.t), LEFT), end = Math.min(x(+text.dataset.e), width - RIGHT);
        const fits = end - begin > 6.5 * text.textContent.length + 8;
        put(text, {x: px(begin + 4), visibility: fits ? "visible" : "hidden"});
      }
      for (const lane of all(svg, ".lane")) {
        // A head for each group of bars: those that began before and still last stand at the left edge.
        const places = all(lane, "rect.bar").filter(bar => bar.getAttribute("visibility") !== "hidden")
          .map(bar => Math.max(x(+bar.dataset.t), LEFT));
        const groups = [];
        for (const place of places) {
          if (groups.length && place - groups[groups.length - 1][0] < APART) groups[groups.length - 1][1]++;
          else groups.push([place, 1]);
        }
        const heads = all(lane, ".head");
        while (heads.length < groups.length) heads.push(lane.appendChild(heads[0].cloneNode(true)));
        heads.forEach((head, i) => {
          head.setAttribute("display", i < groups.length ? "inline" : "none");
          if (i >= groups.length) return;
          head.setAttribute("transform", `translate(${px(groups[i][0])} ${lane.dataset.y})`);
          head.querySelector(".count").textContent = groups[i][1] > 1 ? `${groups[i][1]}\u00d7` : "";
        });
      }
    }

    function gauge(svg) {
      const {low, high, top, plot} = svg.dataset;
      const y = value => +top + +plot - (value - low) / (high - low) * plot;
      const value = (series, time) => {
        const i = nearest(series, time);
        return (series.low[i] + highs(series)[i]) / 2;
      };
      for (const line of all(svg, ".trace, .halo")) {
        if (data.series[line.dataset.s].times.length) line.setAttribute("d", path(data.series[line.dataset.s], y));
      }
      for (const text of all(svg, ".on")) {
        const time = from + text.dataset.share * (to - from);
        put(text, {x: px(x(time)), y: px(y(value(data.series[text.dataset.s], time)) + 3.5)});
      }
      const ends = all(svg, ".end"), right = width - RIGHT;
      const places = ends.map(text => y(value(data.series[text.dataset.s], to)));
      spread(places, 11).forEach((place, i) => {
        const key = `[data-s="${ends[i].dataset.s}"]`;
        put(ends[i], {x: right + 13, y: px(place + 4)});
        svg.querySelector(".lead" + key).setAttribute("d", `M${right} ${px(places[i])}L${right + 10} ${px(place)}`);
        svg.querySelector(".sample" + key).setAttribute("d", `M${right + 28} ${px(place)}h40`);
      });
    }

    function axis(svg) {
      const group = svg.querySelector(".times"), room = data.zero === null ? 60 : 76;
      const step = STEPS.find(one => (to - from) / one * room <= width - LEFT - RIGHT) || STEPS[STEPS.length - 1];
      group.replaceChildren();
      for (let n = Math.ceil(from / step - 1e-9); n * step <= to + 1e-9; n++) {
        const place = px(x(n * step));
        group.append(put(document.createElementNS(NS, "line"), {class: "grid", x1: place, x2: place, y1: 0, y2: 5}));
        said(n * step).forEach((words, row) => {
          const text = put(document.createElementNS(NS, "text"), {class: "time", x: place, y: 16 + 12 * row});
          text.textContent = words;
          group.append(text);
        });
      }
    }

    function read() {
      for (const svg of pictures) {
        const line = svg.querySelector(".cursor");
        const seen = at !== null && at >= from && at <= to;
        put(line, {x1: px(x(at || 0)), x2: px(x(at || 0)), visibility: seen ? "visible" : "hidden"});
        const text = svg.querySelector(".read");
        if (!text) continue;
        const mine = all(svg, ".trace").map(one => data.series[one.dataset.s]);
        const words = mine.map(series => {
          const i = nearest(series, at || 0), index = /\[\d+\]$/.exec(series.name);
          const gap = (data.last - data.first) / 1000 + 2 * Math.abs((series.times[1] || 0) - (series.times[0] || 0));
          const known = series.times.length && Math.abs(series.times[i] - at) <= gap;
          const low = series.low[i], high = highs(series)[i];
          const number = !known ? "\u2013" : low === high ? `${low}` : `${low} to ${high}`;
          return index ? `${index[0].slice(1, -1)}: ${number}` : number;
        });
        text.textContent = at === null ? "" : `${words.join("   ")} ${svg.dataset.unit}`;
        svg.querySelector(".name").setAttribute("visibility", at !== null && width < 640 ? "hidden" : "visible");
      }
      if (at === null) { output.textContent = ""; return; }
      const up = all(box, ".lane a").filter(link => {
        const bar = link.querySelector(".bar");
        return bar && +bar.dataset.t <= at && (at < +bar.dataset.e || +bar.dataset.e === data.last);
      }).map(link => link.querySelector("title").textContent.replace(/ at [^ ]+( \(.*\))?$/, ""));
      const positions = all(box, ".position").filter(text => +text.dataset.t <= at &&
        (at < +text.dataset.e || +text.dataset.e === data.last)).map(text => `${text.dataset.switch} ${text.textContent}`);
      const [day, elapsed] = said(at);
      output.textContent = (elapsed ? `${day} (${elapsed})` : day) + (up.length ? `  up: ${up.join("; ")}` : "  nothing up") +
        (positions.length ? `; ${positions.join(", ")}` : "");
    }

    function draw() {
      for (const svg of pictures) {
        svg.setAttribute("viewBox", `0 0 ${width} ${svg.dataset.height}`);
        for (const line of all(svg, "line.w")) line.setAttribute("x2", width - RIGHT);
        for (const text of all(svg, ".read")) text.setAttribute("x", width - RIGHT);
        for (const text of all(svg, ".markname")) text.textContent = (width < 640 ? "" : "mark ") + text.dataset.n;
        bars(svg);
        if (svg.classList.contains("gauge")) gauge(svg);
        if (svg.classList.contains("axis")) axis(svg);
      }
      read();
      box.dataset.from = from;
      box.dataset.to = to;
    }

    function show(first, last) {
      const least = Math.min(whole, Math.max(1, whole / 3000));
      let wide = Math.min(whole, Math.max(least, last - first));
      from = Math.min(Math.max(data.first, first + (last - first - wide) / 2), data.last - wide);
      to = from + wide;
      draw();
    }
    function zoom(factor) {
      const middle = at !== null && at >= from && at <= to ? at : (from + to) / 2;
      show(middle - (middle - from) * factor, middle + (to - middle) * factor);
    }
    function move(share) { show(from + share * (to - from), to + share * (to - from)); }
    function point(time) {
      at = Math.min(data.last, Math.max(data.first, time));
      if (at < from || at > to) show(at - (to - from) / 2, at + (to - from) / 2); else read();
    }

    // ---- what is there with a script only

    const tools = document.createElement("div");
    tools.className = "tools";
    const actions = [
      ["zoom in", () => zoom(0.5)], ["zoom out", () => zoom(2)], ["\u25c0", () => move(-0.5), "earlier"],
      ["\u25b6", () => move(0.5), "later"], ["whole run", () => show(data.first, data.last)],
    ];
    for (const [words, act, label] of actions) {
      const button = document.createElement("button");
      button.type = "button";
      button.textContent = words;
      if (label) button.setAttribute("aria-label", label);
      button.addEventListener("click", act);
      tools.append(button);
    }
    const output = document.createElement("output");
    const hint = document.createElement("span");
    hint.className = "small";
    hint.textContent = "Drag over a stretch to see it alone. Keys: arrows move the line, with Shift far; + and - zoom; " +
      "n and p go to the next alert and back; Escape shows the whole run.";
    tools.append(output, hint);
    box.prepend(tools);
    box.tabIndex = 0;
    box.setAttribute("role", "group");
    box.setAttribute("aria-label", "Timeline; arrow keys move the line, plus and minus zoom");
    for (const svg of pictures) {
      svg.append(put(document.createElementNS(NS, "line"), {class: "cursor", y1: 0, y2: svg.dataset.height, visibility: "hidden"}));
      svg.append(put(document.createElementNS(NS, "rect"), {class: "picked", y: 0, height: svg.dataset.height, visibility: "hidden"}));
      svg.style.touchAction = "pan-y";
      const time = event => {
        const frame = svg.getBoundingClientRect();
        return timeAt(Math.min(width - RIGHT, Math.max(LEFT, (event.clientX - frame.left) / frame.width * width)));
      };
      svg.addEventListener("pointermove", event => {
        if (drag === null) { if (event.pointerType === "mouse") point(time(event)); return; }
        const [a, b] = [x(drag), x(time(event))].sort((one, other) => one - other);
        for (const picture of pictures) {
          put(picture.querySelector(".picked"), {x: px(a), width: px(b - a), visibility: b - a > 4 ? "visible" : "hidden"});
        }
      });
      svg.addEventListener("pointerdown", event => {
        if (event.button !== 0 || event.target.closest("a")) return;
        drag = time(event);
        if (event.pointerType === "mouse") event.preventDefault();
      });
      svg.addEventListener("dblclick", () => show(data.first, data.last));
      svg.addEventListener("pointerup", event => {
        if (drag === null) return;
        const end = time(event), first = Math.min(drag, end), last = Math.max(drag, end);
        drag = null;
        for (const picture of pictures) picture.querySelector(".picked").setAttribute("visibility", "hidden");
        if (x(last) - x(first) > 8 && event.pointerType === "mouse") show(first, last); else point(end);
      });
    }
    window.addEventListener("pointerup", () => {
      if (drag === null) return;
      drag = null;
      for (const picture of pictures) picture.querySelector(".picked").setAttribute("visibility", "hidden");
    });
    box.addEventListener("keydown", event => {
      if (event.ctrlKey || event.metaKey || event.altKey || event.target.closest("button")) return;
      const step = (to - from) / (event.shiftKey ? 20 : 200), here = at === null ? from : at;
      const starts = [...new Set(all(box, ".lane a .bar").map(bar => +bar.dataset.t))].sort((a, b) => a - b);
      const keys = {
        ArrowLeft: () => point(here - step), ArrowRight: () => point(here + step), Home: () => point(data.first),
        End: () => point(data.last), "+": () => zoom(0.5), "=": () => zoom(0.5), "-": () => zoom(2),
        Escape: () => { at = null; show(data.first, data.last); },
        n: () => point(starts.find(one => one > here + 1e-6) ?? here),
        p: () => point(starts.reverse().find(one => one < here - 1e-6) ?? here),
      };
      if (!keys[event.key]) return;
      event.preventDefault();
      keys[event.key]();
    });

    // A link to a place on the timeline shows it with what is around it.
    document.addEventListener("click", event => {
      const link = event.target.closest('a[href^="#"]');
      const aim = link && document.getElementById(link.getAttribute("href").slice(1));
      const piece = aim && box.contains(aim) && aim.querySelector("[data-t]");
      if (!piece) return;
      const begin = +piece.dataset.t, end = +(piece.dataset.e || begin), spare = Math.max(30, 2 * (end - begin));
      at = begin;
      show(begin - spare, end + spare);
    });

    function fit() {
      width = Math.max(300, Math.round(box.clientWidth));
      draw();
    }
    new ResizeObserver(fit).observe(box);
    let before = null;
    window.addEventListener("beforeprint", () => { before = [from, to, at]; width = WIDTH; at = null; from = data.first; to = data.last; draw(); });
    window.addEventListener("afterprint", () => { if (before) [from, to, at] = before; fit(); });
    box.classList.add("live");
    fit();
  }

  for (const box of all(document, ".timeline[id]")) start(box);

  // Rows within what is folded open for a link to them.
  function unfold(hash) {
    const aim = hash.length > 1 && document.getElementById(hash.slice(1));
    if (!aim) return;
    for (let one = aim; one; one = one.parentElement) if (one.tagName === "DETAILS") one.open = true;
    const own = aim.querySelector && aim.querySelector(":scope > details");
    if (own) own.open = true;
    aim.scrollIntoView({block: "center"});
  }
  window.addEventListener("hashchange", () => unfold(location.hash));
  document.addEventListener("click", event => {
    const link = event.target.closest('a[href^="#"]');
    if (link) unfold(link.getAttribute("href"));
  });
  unfold(location.hash);
})();
