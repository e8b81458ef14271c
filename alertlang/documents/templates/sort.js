"use strict";
// Tables of this page, sorted by a column: the first time upwards for words and downwards for numbers, then the other
// way round. Without a script they stand as they are. What is folded opens for a link into it.
(() => {
  const value = (row, place) => {
    const cell = row.cells[place];
    if (!cell) return "";
    return cell.dataset.v === undefined ? cell.textContent.trim() : cell.dataset.v === "" ? -Infinity : +cell.dataset.v;
  };
  for (const table of document.querySelectorAll("table.sort")) {
    const heads = [...table.tHead.rows[0].cells];
    heads.forEach((head, place) => {
      if (head.dataset.plain !== undefined || !head.textContent) return;
      const button = document.createElement("button");
      button.type = "button";
      button.append(...head.childNodes);
      head.append(button);
      button.addEventListener("click", () => {
        const numbers = head.classList.contains("n"), before = head.getAttribute("aria-sort");
        const up = before ? before === "descending" : !numbers;
        heads.forEach(other => other.removeAttribute("aria-sort"));
        head.setAttribute("aria-sort", up ? "ascending" : "descending");
        for (const body of table.tBodies) {
          const rows = [...body.rows].filter(row => !row.classList.contains("group") && row.cells.length > 1);
          const rest = [...body.rows].filter(row => row.cells.length < 2 && !row.classList.contains("group"));
          rows.sort((a, b) => {
            const one = value(a, place), other = value(b, place);
            const order = typeof one === "string" ? one.localeCompare(`${other}`, "en", {numeric: true}) : one - other;
            return up ? order : -order;
          });
          body.append(...rows, ...rest);
        }
      });
    });
  }
  function unfold(hash) {
    const aim = hash.length > 1 && document.getElementById(hash.slice(1));
    if (!aim) return;
    for (let one = aim; one; one = one.parentElement) if (one.tagName === "DETAILS") one.open = true;
    aim.scrollIntoView({block: "center"});
  }
  window.addEventListener("hashchange", () => unfold(location.hash));
  document.addEventListener("click", event => {
    const link = event.target.closest('a[href^="#"]');
    if (link) unfold(link.getAttribute("href"));
  });
  unfold(location.hash);
})();
