// Draws each figure of the page from its JSON, once; redraws at paper width for print. Asks nothing of any network.
(function () {
  "use strict";
  var PAPER_PX = 680;
  var PAPER_HIGH_PX = 780;
  var config = { displayModeBar: false, displaylogo: false, responsive: true, doubleClick: false, scrollZoom: false };
  var boxes = Array.prototype.slice.call(document.querySelectorAll("[data-figure]"));
  var waiting = boxes.slice();
  var shut = [];

  function draw(box) {
    var drawing = JSON.parse(document.getElementById(box.getAttribute("data-figure")).textContent);
    box.style.minHeight = "0";
    Plotly.newPlot(box, drawing.data, drawing.layout, config);
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
    var scale = Math.min(1, PAPER_HIGH_PX / box.offsetHeight);
    box.style.zoom = scale;
    box.style.width = PAPER_PX / scale + "px";
    Plotly.relayout(box, { width: PAPER_PX / scale });
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
      Plotly.relayout(box, { width: null, autosize: true });
    });
    shut.forEach(function (one) { one.open = false; });
    shut = [];
  }

  window.addEventListener("beforeprint", toPaper);
  window.addEventListener("afterprint", toScreen);
  drawNext();
}());
