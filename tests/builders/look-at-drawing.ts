import type { Page } from "playwright-core";

/**
 * What is wrong with a drawing that stands alone in an open page: texts or marks over each other, pipes through texts, what
 * stands outside the picture. As the browser measures it.
 */
export const crowdedIn = (page: Page): Promise<string[]> => page.evaluate(CROWDED);

// As text: what runs in the browser has other globals than what runs here.
const CROWDED = `(() => {
  const svg = document.querySelector("svg");
  const whole = svg.getBoundingClientRect();
  const scale = whole.width / svg.viewBox.baseVal.width;
  const slack = 0.75 * scale;
  const boxOf = (each) => each.getBoundingClientRect();
  const isSeen = (box) => box.width > 0 && box.height > 0;
  const faults = [];
  // what stands on a ground of its own hides what runs behind
  const texts = [...svg.querySelectorAll("text:not(.dw-riser-tag text)")].map((each) => {
    const box = boxOf(each);
    // the line box is taller than the letters
    const upright = each.getAttribute("transform")?.includes("rotate") ?? false;
    const [dx, dy] = upright ? [box.width * 0.2, 0] : [0, box.height * 0.2];
    return { words: each.textContent, group: each.closest(".dw-mark"), left: box.left, right: box.right, top: box.top, bottom: box.bottom, dx, dy, halo: each.classList.contains("dw-halo"), box };
  }).filter(({ box }) => isSeen(box));
  const meet = (a, b, x, y) => a.left + x < b.right - slack && b.left + slack < a.right - x && a.top + y < b.bottom - slack && b.top + slack < a.bottom - y;
  const sorted = [...texts].sort((a, b) => a.top - b.top);
  for (let i = 0; i < sorted.length; i++)
    for (let k = i + 1; k < sorted.length && sorted[k].top < sorted[i].bottom; k++) {
      const [a, b] = [sorted[i], sorted[k]];
      const inner = { left: b.left + b.dx, right: b.right - b.dx, top: b.top + b.dy, bottom: b.bottom - b.dy };
      if (meet(a, inner, a.dx, a.dy)) faults.push("texts meet: " + a.words + " | " + b.words);
    }
  const marks = [...svg.querySelectorAll(".dw-mark")].map((group) => ({ group, ...boxOf(group.querySelector("rect,path")).toJSON() }));
  for (let i = 0; i < marks.length; i++)
    for (let k = i + 1; k < marks.length; k++)
      if (meet(marks[i], marks[k], 0, 0)) faults.push("marks meet: " + marks[i].group.textContent.slice(0, 30) + " | " + marks[k].group.textContent.slice(0, 30));
  for (const text of texts)
    for (const mark of marks)
      if (text.group !== mark.group && meet(text, mark, text.dx, text.dy)) faults.push("mark over text: " + mark.group.textContent.slice(0, 30) + " | " + text.words);
  for (const { words, left, right, top, bottom } of texts)
    if (left < whole.left - 1 || right > whole.right + 1 || top < whole.top - 1 || bottom > whole.bottom + 1) faults.push("outside the picture: " + words);
  const matrix = svg.getScreenCTM();
  for (const pipe of svg.querySelectorAll(".dw-pipe,.dw-invert")) {
    const numbers = pipe.getAttribute("d").match(/[MLHV]|-?[\\d.]+/g);
    let command = "M", x = 0, y = 0;
    const lines = [];
    for (let i = 0; i < numbers.length; ) {
      if (/[MLHV]/.test(numbers[i])) command = numbers[i++];
      const [px, py] = [x, y];
      if (command === "H") x = Number(numbers[i++]);
      else if (command === "V") y = Number(numbers[i++]);
      else { x = Number(numbers[i++]); y = Number(numbers[i++]); }
      if (command !== "M") lines.push([px, py, x, y].map((n, j) => n * scale + (j % 2 === 0 ? matrix.e : matrix.f)));
      if (command === "M") command = "L";
    }
    for (const [x0, y0, x1, y1] of lines)
      for (const text of texts) {
        if (text.halo) continue;
        const box = { left: Math.min(x0, x1) - 0.5, right: Math.max(x0, x1) + 0.5, top: Math.min(y0, y1) - 0.5, bottom: Math.max(y0, y1) + 0.5 };
        if (Math.abs(x0 - x1) > 1 && Math.abs(y0 - y1) > 1) continue;
        if (text.left + slack < box.right && box.left < text.right - slack && text.top + text.dy + slack < box.bottom && box.top < text.bottom - text.dy - slack)
          faults.push("pipe through text: " + (pipe.closest("[data-pipe]")?.getAttribute("data-pipe") ?? "") + " | " + text.words);
      }
  }
  return faults;
})()`;
