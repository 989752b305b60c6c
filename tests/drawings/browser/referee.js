/* Runs inside each drawing, in the browser: where every shape that is drawn comes to lie, in CSS pixels. */
(function () {
  "use strict";
  var SAMPLES = 33, RAYS = 33;

  function isShown(element) {
    if (getComputedStyle(element).visibility !== "visible" || !element.checkVisibility()) { return false; }
    for (var around = element; around instanceof SVGElement; around = around.parentNode) {
      if (getComputedStyle(around).display === "none") { return false; }
      // SVG 2, section 8.9: a viewport without a width or a height is not drawn.
      if (around.localName === "svg" && !(around.width.baseVal.value > 0 && around.height.baseVal.value > 0)) { return false; }
    }
    // SVG 2, section 10.2: nor is a rectangle without one of them.
    var box = element.localName === "rect" ? element.getBBox() : { width: 1, height: 1 };
    if (!(box.width > 0 && box.height > 0)) { return false; }
    // Nor what a use brings in, where a condition of it does not hold.
    var used = element.localName === "use" ? element.getBBox() : box;
    if (!(used.width > 0 || used.height > 0)) { return false; }
    return element.getScreenCTM() !== null;
  }

  function sampled(element) {
    var matrix = element.getScreenCTM(), length = element.getTotalLength(), points = [];
    if (!(length > 0)) { return null; }
    for (var k = 0; k < SAMPLES; k++) {
      var p = element.getPointAtLength(length * k / (SAMPLES - 1)).matrixTransform(matrix);
      points.push([p.x, p.y]);
    }
    return { id: element.id, by: "length", points: points, strokes: Number(element.getAttribute("data-strokes") || 1) };
  }

  // What stands in the shadow tree of a use cannot be asked for its points, so it is felt for: along rays from the
  // middle of what the use fills, the last point that still hits it. The shapes used are such that each ray leaves once.
  function felt(use) {
    use.style.pointerEvents = "fill";
    var box = use.getBBox(), matrix = use.getScreenCTM(), root = use.ownerSVGElement;
    while (root.ownerSVGElement) { root = root.ownerSVGElement; }
    function mapped(x, y) {
      var p = root.createSVGPoint();
      p.x = x; p.y = y;
      return p.matrixTransform(matrix);
    }
    function hits(x, y) { return document.elementFromPoint(x, y) === use; }
    var middle = mapped(box.x + box.width / 2, box.y + box.height / 2);
    if (!hits(middle.x, middle.y)) { return { id: use.id, by: "nothing", points: [] }; }
    var points = [], far = Math.hypot(box.width, box.height) * Math.max(
      Math.hypot(matrix.a, matrix.b) + Math.hypot(matrix.c, matrix.d), 1);
    for (var k = 0; k < RAYS; k++) {
      var angle = 2 * Math.PI * (k + 0.37) / RAYS, low = 0, high = far;
      while (high - low > 1e-4) {
        var reach = (low + high) / 2;
        if (hits(middle.x + reach * Math.cos(angle), middle.y + reach * Math.sin(angle))) { low = reach; } else { high = reach; }
      }
      points.push([middle.x + low * Math.cos(angle), middle.y + low * Math.sin(angle)]);
    }
    var corners = [[0, 0], [1, 0], [1, 1], [0, 1]].map(function (c) {
      var p = mapped(box.x + c[0] * box.width, box.y + c[1] * box.height);
      return [p.x, p.y];
    });
    return { id: use.id, by: "feeling", strokes: 1, points: points, box: corners };
  }

  function walk(element, found) {
    for (var k = 0; k < element.children.length; k++) {
      var child = element.children[k];
      if (["defs", "symbol", "clipPath", "marker", "mask", "pattern"].indexOf(child.localName) >= 0) { continue; }
      if (child.localName === "use") {
        if (isShown(child)) { found.push(felt(child)); }
      } else if (child instanceof SVGGeometryElement) {
        var one = isShown(child) ? sampled(child) : null;
        if (one) { found.push(one); }
      } else {
        walk(child, found);
      }
    }
    return found;
  }

  window.addEventListener("load", function () {
    var answer;
    try { answer = { name: NAME, shapes: walk(document.documentElement, []) }; } catch (error) { answer = { name: NAME, error: String(error) }; }
    window.parent.postMessage(JSON.stringify(answer), "*");
  });
}());
