// Draws the charts of a page as they come near the window. `chartKinds` has what is particular to a
// kind of chart; a kind without an entry travels as the figure itself.
(function () {
  const page = drawing.load();

  function onPhone(figure) {
    figure.layout.font.size = 10;
    for (const note of figure.layout.annotations || []) {
      if (note.yref === "paper") { note.text = note.text.slice(0, 1); }  // a month
    }
    for (const trace of figure.data) {
      if (trace.textfont) { trace.textfont.size = 9; }
      if (trace.meta === "short") { trace.text = trace.customdata; }
    }
    drawing.rowsOnPhone(figure);
  }

  const charts = new Map(page.charts.map((chart) => [chart.id, chart]));
  drawing.follow(page.charts, function (place, width) {
    const chart = charts.get(place.id);
    const kind = chartKinds[chart.kind] || {};
    const figure = kind.figure ? kind.figure(page.opened(chart.data)) : page.opened(chart.data);
    if (width < drawing.narrow) { (kind.onPhone || onPhone)(figure); }
    return figure;
  });
})();
