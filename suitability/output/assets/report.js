(function () {
  const tallest = 540;

  const page = drawing.load();

  function dayInWords(day) {
    let month = 11;
    while (page.starts[month] > day) { month -= 1; }
    return (day - page.starts[month] + 1) + " " + page.months[month];
  }

  // The four courses of the nights in words, for the pointer.
  function withNights(figure) {
    const usual = figure.data.find((trace) => trace.meta && trace.meta.told);
    if (!usual) { return figure; }
    const [high, low, , lowest] = figure.data;
    const said = (value) => value === null ? "?" : String(value);
    usual.hovertext = usual.y.map((middle, day) => usual.meta.told
      .replace("{day}", dayInWords(day)).replace("{middle}", said(middle))
      .replace("{low}", said(low.y[day])).replace("{high}", said(high.y[day]))
      .replace("{lowest}", said(lowest.y[day])));
    return figure;
  }

  // A key that needs several lines gets room for them.
  function keyed(figure, width) {
    const layout = figure.layout;
    if (!layout.showlegend) { return figure; }
    const names = new Set(figure.data.filter((trace) => trace.name && trace.showlegend !== false)
      .map((trace) => trace.name));
    let lines = names.size;  // on a phone each entry stands in a line of its own
    if (width >= drawing.narrow) {
      const needed = [...names].reduce((sum, name) => sum + 48 + 6.6 * name.length, 0);
      lines = Math.ceil(needed / (width - layout.margin.l - layout.margin.r));
    }
    layout.height += 20 * (lines - 1);
    layout.margin.b += 20 * (lines - 1);
    return figure;
  }

  function fitted(figure, width) {
    if (width >= drawing.narrow) { return figure; }
    const layout = figure.layout;
    layout.font.size = 11;
    for (const axis of ["xaxis", "yaxis"]) {
      if (layout[axis] && layout[axis].title) { layout[axis].title.font = { size: 11 }; }
    }
    if (layout.xaxis.ticktext) {
      layout.xaxis.ticktext = layout.xaxis.ticktext.map((month) => month.slice(0, 1));
    }
    for (const note of layout.annotations || []) {
      if (note.yref === "paper" && page.short.includes(note.text)) { note.text = note.text.slice(0, 1); }
      if (note.font) { note.font.size = 11; }
    }
    if (layout.margin.r > 100) { layout.margin.r = 104; }
    if (layout.margin.l > 50) { layout.margin.l = 48; }
    if (layout.legend && layout.legend.font) { layout.legend.font.size = 10; }
    for (const trace of figure.data) {
      if (trace.textfont) { trace.textfont.size = 9; }
      if (trace.type === "scatter" && trace.marker && trace.marker.size < 10) { trace.marker.size = 5; }
    }
    drawing.rowsOnPhone(figure);
    return figure;
  }

  // On paper a chart is no longer than half of the page; upright bars lose their fine hatches, and differ in tone.
  function forPaper(figure) {
    figure.layout.height = Math.min(figure.layout.height, tallest);
    for (const trace of figure.data) {
      if (trace.meta === "month" && trace.marker.pattern) { trace.marker.pattern.shape = ""; }
    }
  }

  // What is left out on paper is left to be drawn on the screen.
  function printed(place) {
    const group = place.closest(".group");
    if (document.body.matches(".alone")) { return Boolean(group) && group.matches(".chosen"); }
    return !place.matches(".group:not(.whole) .detail");
  }

  const charts = new Map(page.charts.map((chart) => [chart.id, chart]));
  drawing.follow(page.charts, function (place, width) {
    const chart = charts.get(place.id);
    const kind = chartKinds[chart.kind] || {};
    const figure = kind.figure ? kind.figure(page.opened(chart.data)) : page.opened(chart.data);
    keyed(fitted(withNights(figure), width), width);
    if (drawing.printing()) { forPaper(figure); }
    return figure;
  }, printed);

  // One group alone, with all its charts.
  for (const button of document.querySelectorAll("button.print")) {
    const group = button.closest(".group");
    const whole = group.matches(".whole");
    button.hidden = false;
    button.addEventListener("click", function () {
      document.body.classList.add("alone");
      group.classList.add("chosen", "whole");
      window.addEventListener("afterprint", function () {
        document.body.classList.remove("alone");
        group.classList.remove("chosen");
        group.classList.toggle("whole", whole);
      }, { once: true });
      window.print();
    });
  }

  // Trials: every verdict was worked out beforehand; the control only shows another one.
  const trial = document.querySelector(".trial");
  if (trial) {
    const slider = document.getElementById("warmer");
    const told = document.getElementById("warmer-told");
    const status = document.getElementById("try-told");
    const shares = [...trial.querySelectorAll("input[type=radio]")];
    const rows = [...document.querySelectorAll("#try tbody tr")];
    const show = function () {
      const step = Number(slider.value);
      const share = shares.findIndex((one) => one.checked);
      told.textContent = page.trials.steps[step];
      slider.setAttribute("aria-valuetext", page.trials.steps[step]);
      rows.forEach(function (row, at) {
        const texts = page.trials.texts[page.trials.rows[at][step][share]].split("|");
        [...row.querySelectorAll("td")].forEach((cell, number) => { cell.textContent = texts[number]; });
        row.classList.toggle("other", texts[texts.length - 1] !== "same");
      });
      status.textContent = page.trials.summaries[step][share];
    };
    slider.addEventListener("input", show);
    for (const one of shares) { one.addEventListener("change", show); }
    document.getElementById("try-back").addEventListener("click", function () {
      slider.value = page.trials.asked[0];
      shares[page.trials.asked[1]].checked = true;
      show();
    });
    slider.value = page.trials.asked[0];  // a browser may remember another place
    shares[page.trials.asked[1]].checked = true;
    slider.setAttribute("aria-valuetext", page.trials.steps[page.trials.asked[0]]);
    trial.hidden = false;
  }
})();
