// Packed nights of past years become the bars and marks of a chart. `page` holds the empty traces,
// the names of the months and their first days.
const evidenceOf = function (page) {
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
  return function filled(group) {
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
          trace.hovertext.push(year.label + ", " + (nights > 1
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
          trace.hovertext.push(year.label + "<br>" + told);
        });
      }
    });
    return figure;
  };
};
