// Draws each figure of the report once, in its wide or its narrow form, as a drawing that scales with the page and prints as it stands.
(function () {
  "use strict";
  var config = { staticPlot: true, displayModeBar: false, displaylogo: false };
  var boxes = Array.prototype.slice.call(document.querySelectorAll("[data-figure]"));
  boxes.forEach(function (box) {
    var drawn = JSON.parse(document.getElementById(box.getAttribute("data-figure")).textContent);
    var width = drawn.layout.width, height = drawn.layout.height;
    Plotly.newPlot(box, drawn.data, drawn.layout, config);
    Array.prototype.slice.call(box.querySelectorAll("svg.main-svg")).forEach(function (svg) {
      svg.setAttribute("viewBox", "0 0 " + width + " " + height);
      svg.removeAttribute("width");
      svg.removeAttribute("height");
      svg.style.width = svg.style.height = "100%";
    });
    [box.firstElementChild, box.querySelector(".svg-container")].forEach(function (one) {
      if (one) { one.style.width = one.style.height = "100%"; }
    });
    box.style.aspectRatio = width + " / " + height;
  });
  document.documentElement.setAttribute("data-drawn", String(boxes.length));
}());
