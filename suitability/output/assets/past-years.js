// Packed nights of past years become the bars and marks of a chart.
chartKinds["past-years"] = (function () {
  function figure(chart) {
    const words = chart.words;
    function dayInWords(column) {
      const day = (column + chart.first) % 365;
      let month = 0;
      while (month < 11 && day >= words.starts[month + 1]) { month += 1; }
      return (day - words.starts[month] + 1) + " " + words.months[month];
    }
    function nightsInWords(column, nights) {
      return (nights > 1 ? words.nights : words.night).replace("{first}", dayInWords(column))
        .replace("{last}", dayInWords(column + nights - 1)).replace("{count}", nights);
    }
    const by = {};
    for (const trace of chart.traces) {
      trace.x = []; trace.y = []; trace.hovertext = [];
      if (trace.type === "bar") { trace.base = []; }
      by[trace.meta] = trace;
    }
    chart.years.forEach(function (year, row) {
      let column = 0;
      for (const run of year.runs.matchAll(/(\d+)(\D)/g)) {
        const nights = Number(run[1]);
        const trace = by[run[2]];
        if (trace) {
          trace.y.push(row); trace.base.push(column); trace.x.push(nights);
          trace.hovertext.push(year.label + ", " + nightsInWords(column, nights) +
            "<br>" + trace.name + "<br>" + year.told);
        }
        column += nights;
      }
      if (year.span) {
        ["triangle-right", "triangle-left"].forEach(function (symbol, end) {
          if (year.span[end] === 365 * end) { return; }  // nothing limits it on this side
          const trace = by[symbol];
          trace.y.push(row); trace.x.push(year.span[end]);
          trace.hovertext.push(year.label + "<br>" + year.told);
        });
      }
    });
    return { data: chart.traces, layout: chart.layout };
  }
  function onPhone(drawn) {
    const layout = drawn.layout;
    layout.font.size = 10;
    layout.xaxis.title.font.size = 10;
    layout.xaxis.ticktext = layout.xaxis.ticktext.map((month) => month.slice(0, 1));
    for (const note of layout.annotations || []) { note.font.size = 10; }
    for (const trace of drawn.data) {
      if (trace.type === "scatter") { trace.marker.size = 5; }
    }
  }
  return { figure, onPhone };
})();
