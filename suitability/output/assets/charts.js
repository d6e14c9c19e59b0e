// Draws the charts of a page as they come near the window. `chartKinds` has what is particular to a
// kind of chart; a kind without an entry travels as the figure itself.
(async function () {
  // Data and plotting script may travel as base64 of a zlib stream. The page's policy knows the
  // script by the hash of its text, so that no other one would run in its place.
  function unpacked(id) {
    const packed = atob(document.getElementById(id).textContent);
    const bytes = new Uint8Array(packed.length);
    for (let at = 0; at < packed.length; at += 1) { bytes[at] = packed.charCodeAt(at); }
    return new Response(new Blob([bytes]).stream().pipeThrough(new DecompressionStream("deflate")));
  }
  let page = null;
  if (document.getElementById("plotting")) {
    const plotting = document.createElement("script");
    plotting.textContent = await unpacked("plotting").text();
    document.head.append(plotting);
    page = await unpacked("figures").json();
  } else {
    page = JSON.parse(document.getElementById("figures").textContent);
  }

  // Parts that repeat stand once, in page.parts; keys beside a reference are added to its part.
  function opened(value) {
    if (Array.isArray(value)) { return value.map(opened); }
    if (value === null || typeof value !== "object") { return value; }
    const copy = "$" in value ? opened(page.parts[value.$]) : {};
    if (Array.isArray(copy)) { return copy; }
    for (const key of Object.keys(value)) {
      if (key !== "$") { copy[key] = opened(value[key]); }
    }
    return copy;
  }

  function onPhone(figure, width) {
    figure.layout.font.size = 10;
    for (const note of figure.layout.annotations || []) {
      if (note.yref === "paper") { note.text = note.text.slice(0, 1); }
    }
    for (const trace of figure.data) {
      if (trace.textfont) { trace.textfont.size = 9; }
      if (trace.meta === "short") { trace.text = trace.customdata; }
    }
    drawing.rowsOnPhone(figure, width);
  }

  const charts = new Map(page.charts.map((chart) => [chart.id, chart]));
  const drawn = new Set();
  function figureOf(place, width) {
    const chart = charts.get(place.id);
    const kind = chartKinds[chart.kind] || {};
    const figure = kind.figure ? kind.figure(opened(chart.data)) : opened(chart.data);
    if (width < drawing.narrow) { (kind.onPhone || onPhone)(figure, width); }
    if (drawing.printing() && kind.onPaper) { kind.onPaper(figure); }
    drawn.add(place);
    return figure;
  }
  const seen = (place) => !place.closest("[hidden]");
  const near = new IntersectionObserver(function (told) {
    const places = told.filter((one) => one.isIntersecting).map((one) => one.target);
    for (const place of places) { near.unobserve(place); }
    drawing.drawAll(places.filter(seen), figureOf);
  }, { rootMargin: "600px 0px" });
  const places = [...charts.keys()].map((id) => document.getElementById(id));

  // One of several parts at a time, where a list chooses it.
  for (const list of document.querySelectorAll(".chooser select")) {
    const parts = [...list.options].map((option) => document.getElementById(option.value));
    const choose = function () {
      for (const part of parts) {
        part.hidden = part.id !== list.value;
        if (part.hidden) { continue; }
        for (const place of part.querySelectorAll(".chart")) { near.observe(place); }
      }
    };
    list.closest(".chooser").hidden = false;
    list.addEventListener("change", choose);
    choose();
  }
  for (const place of places) { near.observe(place); }
  drawing.onChange(() => drawing.drawAll([...drawn].filter(seen), figureOf), function () {
    const printed = places.filter(seen);
    for (const place of printed) { near.unobserve(place); }
    drawing.drawAll(printed, figureOf);
  });
})();
