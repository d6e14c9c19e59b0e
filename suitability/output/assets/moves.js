"use strict";
(function () {
  const narrow = 640;
  const page = JSON.parse(document.getElementById("figures").textContent);
  function dayInWords(column, first) {
    let day = (column + first) % 365;
    let month = 0;
    while (month < 11 && day >= page.starts[month + 1]) { month += 1; }
    return (day - page.starts[month] + 1) + " " + page.months[month];
  }
  function yearInWords(year, first) {
    const kept = year.kept === null ? "does not tell of the season"
      : year.kept ? "kept the season" : "did not keep the season";
    if (!year.span) { return kept; }
    const days = year.span[1] - year.span[0];
    if (days === 365) { return "no unsafe night at all; " + kept; }
    return "by itself from " + dayInWords(year.span[0], first) + " to " +
      dayInWords(year.span[1], first) + ", " + days + " days; " + kept;
  }
  function filled(group) {
    const figure = JSON.parse(JSON.stringify({ data: page.traces, layout: group.layout }));
    const by = {};
    for (const trace of figure.data) {
      trace.x = []; trace.y = []; trace.hovertext = [];
      if (trace.type === "bar") { trace.base = []; }
      by[trace.meta] = trace;
    }
    group.years.forEach(function (year, row) {
      const told = yearInWords(year, group.first);
      let column = 0;
      for (const run of year.runs.matchAll(/(\d+)(\D)/g)) {
        const nights = Number(run[1]);
        const trace = by[run[2]];
        if (trace) {
          const first = dayInWords(column, group.first);
          const last = dayInWords(column + nights - 1, group.first);
          trace.y.push(row); trace.base.push(column); trace.x.push(nights);
          trace.hovertext.push("<b>" + year.label + "</b>, " + (nights > 1
            ? "nights of " + first + " to " + last + " (" + nights + ")" : "night of " + first) +
            "<br>" + trace.name + "<br>" + told);
        }
        column += nights;
      }
      if (year.span) {
        ["triangle-right", "triangle-left"].forEach(function (symbol, end) {
          if (year.span[end] === 365 * end) { return; }  // nothing limits it on this side
          const trace = by[symbol];
          trace.y.push(row); trace.x.push(year.span[end]);
          trace.hovertext.push("<b>" + year.label + "</b><br>" + told);
        });
      }
    });
    return figure;
  }
  function fitted(figure, width) {
    if (width >= narrow) { return figure; }
    figure.layout.font.size = 10;
    figure.layout.xaxis.title.font.size = 10;
    figure.layout.xaxis.ticktext = figure.layout.xaxis.ticktext.map((month) => month.slice(0, 1));
    for (const note of figure.layout.annotations || []) { note.font.size = 10; }
    for (const trace of figure.data) {
      if (trace.type === "scatter") { trace.marker.size = 5; }
    }
    return figure;
  }
  function draw(group) {
    const place = document.getElementById(group.id + "-chart");
    if (!place || place.closest("[hidden]")) { return; }
    const figure = fitted(filled(group), place.clientWidth);
    Plotly.react(place, figure.data, figure.layout, { responsive: true, displayModeBar: false });
  }
  const chooser = document.getElementById("chosen");
  function choose() {
    for (const section of document.querySelectorAll(".evidence")) {
      section.hidden = Boolean(chooser) && section.id !== chooser.value;
    }
    page.groups.forEach(draw);
  }
  if (chooser) {
    chooser.parentElement.hidden = false;
    chooser.addEventListener("change", choose);
  }
  choose();
  let wasNarrow = document.body.clientWidth < narrow;
  window.addEventListener("resize", function () {
    const isNarrow = document.body.clientWidth < narrow;
    if (isNarrow !== wasNarrow) { wasNarrow = isNarrow; page.groups.forEach(draw); }
  });
})();
