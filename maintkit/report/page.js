// Draws each figure of the page from its JSON, once; redraws at paper width for print. Asks nothing of any network.
(function () {
  "use strict";
  var PAPER_PX = 680;
  var MULTIPLE_PX = 222;
  var PAPER_HIGH_PX = 370;
  var ROWS_HIGH_PX = 520;
  var PAPER_SCALE = 0.8;
  var WIDE_PX = 600;
  var config = { displayModeBar: false, displaylogo: false, responsive: true, doubleClick: false, scrollZoom: false };
  var boxes = Array.prototype.slice.call(document.querySelectorAll("[data-figure]"));
  var waiting = boxes.slice();
  var shut = [];

  // The drawing of a box; where there is room, and it knows how, with its names beside what they name.
  function drawing(box, width) {
    var drawn = JSON.parse(document.getElementById(box.getAttribute("data-figure")).textContent);
    var wide = drawn.layout.meta && drawn.layout.meta.wide;
    if (!wide || width < WIDE_PX) { return drawn; }
    drawn.data.forEach(function (trace, number) { trace.y = wide.y[number]; });
    drawn.layout.annotations.filter(function (one) { return one.yref === "y"; }).forEach(function (label, number) {
      label.y = wide.labels[number];
      label.yanchor = "middle";
    });
    drawn.layout.height = wide.height;
    drawn.layout.yaxis.range = wide.range;
    drawn.layout.xaxis.domain = wide.domain;
    return drawn;
  }

  function draw(box) {
    var drawn = drawing(box, box.clientWidth);
    box.style.minHeight = "0";
    Plotly.newPlot(box, drawn.data, drawn.layout, config);
  }

  function drawNext() {
    if (waiting.length) {
      draw(waiting.shift());
      window.setTimeout(drawNext, 0);
    } else {
      document.documentElement.setAttribute("data-drawn", String(boxes.length));
    }
  }

  function fitToPaper(box) {
    var wide = box.closest(".multiples") ? MULTIPLE_PX : PAPER_PX;
    var drawn = drawing(box, wide / PAPER_SCALE);
    var most = drawn.layout.meta && drawn.layout.meta.wide ? ROWS_HIGH_PX : PAPER_HIGH_PX;
    var scale = Math.min(PAPER_SCALE, most / drawn.layout.height);
    drawn.layout.width = wide / scale;
    box.style.zoom = scale;
    box.style.width = wide / scale + "px";
    Plotly.react(box, drawn.data, drawn.layout, config);
  }

  function toPaper() {
    while (waiting.length) { draw(waiting.shift()); }
    boxes.forEach(fitToPaper);
    shut = Array.prototype.slice.call(document.querySelectorAll("details:not([open])"));
    shut.forEach(function (one) { one.open = true; });
  }

  function toScreen() {
    boxes.forEach(function (box) {
      box.style.zoom = box.style.width = "";
      var drawn = drawing(box, box.clientWidth);
      Plotly.react(box, drawn.data, drawn.layout, config);
      Plotly.relayout(box, { width: null, autosize: true });
    });
    shut.forEach(function (one) { one.open = false; });
    shut = [];
  }

  window.addEventListener("beforeprint", toPaper);
  window.addEventListener("afterprint", toScreen);
  drawNext();
}());
