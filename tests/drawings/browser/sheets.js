/* Runs inside each result, in the browser: where every text comes to lie, in mm, and how every line is drawn. */
(function () {
  "use strict";
  var pen = document.createElementNS("http://www.w3.org/1999/xhtml", "canvas").getContext("2d"), measured = {};

  function shown(element) {
    for (var around = element; around instanceof SVGElement; around = around.parentNode) {
      if (getComputedStyle(around).display === "none") { return false; }
    }
    return true;
  }

  // What the letters of a text cover, about its start: left, right, up, down for a font size of one.
  function ink(text, style) {
    var font = style.fontStyle + " " + style.fontWeight + " 100px " + style.fontFamily, key = font + "|" + text;
    if (!measured[key]) {
      pen.font = font;
      var m = pen.measureText(text);
      measured[key] = [m.actualBoundingBoxLeft, m.actualBoundingBoxRight, m.actualBoundingBoxAscent, m.actualBoundingBoxDescent,
        m.width].map(function (n) { return n / 100; });
    }
    return measured[key];
  }

  function place(element) {
    var names = [], pleat = "", pass = "";
    for (var around = element; around instanceof SVGElement && around.parentNode instanceof SVGElement; around = around.parentNode) {
      names.push(around.getAttribute("class") || around.id || "");
    }
    return { of: names, pleat: element.getAttribute("data-pleat") || "", pass: element.getAttribute("data-pass") || "1" };
  }

  function told(element) {
    var found = place(element), style = getComputedStyle(element), m = element.getCTM();
    var root = document.documentElement.getCTM().inverse();
    m = root.multiply(m);
    found.matrix = [m.a, m.b, m.c, m.d, m.e, m.f];
    var scale = Math.sqrt(Math.abs(m.a * m.d - m.b * m.c));
    if (element.localName === "text") {
      var size = parseFloat(style.fontSize), words = element.textContent, box, own = ink(words, style);
      if (element.children.length === 0 && element.hasAttribute("x")) {
        var x = parseFloat(element.getAttribute("x")), y = parseFloat(element.getAttribute("y"));
        if (style.textAnchor === "middle") { x -= own[4] * size / 2; }
        if (style.textAnchor === "end") { x -= own[4] * size; }
        box = [x - own[0] * size, y - own[2] * size, x + own[1] * size, y + own[3] * size];
      } else {
        var b = element.getBBox();
        box = [b.x, b.y, b.x + b.width, b.y + b.height];
      }
      found.words = words;
      found.corners = [[0, 1], [2, 1], [2, 3], [0, 3]].map(function (c) {
        var p = new DOMPoint(box[c[0]], box[c[1]]).matrixTransform(m);
        return [p.x, p.y];
      });
      found.capitals = ink("H", style)[2] * size * scale;
      found.colour = style.fill;
    } else {
      found.data = element.localName === "path" ? element.getAttribute("d") : "";
      found.colour = style.stroke;
      found.fill = style.fill;
      found.width = parseFloat(style.strokeWidth) * scale;
    }
    return found;
  }

  window.addEventListener("load", function () {
    var answer = { name: NAME, texts: [], lines: [] };
    try {
      document.querySelectorAll("text, path").forEach(function (element) {
        if (shown(element)) { answer[element.localName === "text" ? "texts" : "lines"].push(told(element)); }
      });
    } catch (error) { answer.error = String(error); }
    window.parent.postMessage(JSON.stringify(answer), "*");
  });
}());
