"""What a test measures in the rendered page, in JavaScript: contrasts by WCAG 2.2's formula, and sizes of targets."""

CONTRAST = """
(() => {
  const channels = (colour) => colour.match(/[\\d.]+/g).map(Number);
  const linear = (value) => value / 255 <= 0.04045 ? value / 255 / 12.92 : ((value / 255 + 0.055) / 1.055) ** 2.4;
  const luminance = ([red, green, blue]) => 0.2126 * linear(red) + 0.7152 * linear(green) + 0.0722 * linear(blue);
  const ratio = (one, other) => {
    const [light, dark] = [luminance(one), luminance(other)].sort((a, b) => b - a);
    return (light + 0.05) / (dark + 0.05);
  };
  const ground = (element) => {
    for (let at = element; at; at = at.parentElement) {
      const colour = channels(getComputedStyle(at).backgroundColor);
      if (colour.length === 3 || colour[3] > 0) return colour;
    }
    return [255, 255, 255];
  };
  const measured = [];
  for (const element of document.querySelectorAll("body *")) {
    const style = getComputedStyle(element), box = element.getBoundingClientRect();
    if (!box.width || !box.height || style.visibility === "hidden") continue;
    const own = [...element.childNodes].some((node) => node.nodeType === 3 && node.textContent.trim());
    const size = parseFloat(style.fontSize), name = element.id || element.tagName;
    const large = size >= 24 || (size >= 18.66 && Number(style.fontWeight) >= 700);
    if (own) measured.push({ name, kind: "text", large, ratio: ratio(channels(style.color), ground(element)) });
    if (parseFloat(style.borderTopWidth) > 0) {
      const outside = ground(element.parentElement);
      measured.push({ name, kind: "border", large, ratio: ratio(channels(style.borderTopColor), outside) });
    }
  }
  return measured;
})()
"""
"""Each visible text and border with its contrast. Relative luminance and contrast ratio: WCAG 2.2, definitions."""

TARGETS = """
[...document.querySelectorAll("button, summary, input, a")].map((element) => {
  const { width, height } = element.getBoundingClientRect();
  return { name: element.textContent || element.id, width, height };
}).filter((target) => target.width > 0)
"""

WIDEST = "Math.max(...[...document.querySelectorAll('body *')].map((each) => each.getBoundingClientRect().right))"
"""How far to the right anything reaches, in pixels."""

WATCH_LOST = """
new MutationObserver(() => { window.sawLost ||= !document.getElementById("lost").hidden; })
  .observe(document.getElementById("lost"), { attributes: true })
"""
"""Remembers in `window.sawLost` whether the page has said that the bench is gone."""
