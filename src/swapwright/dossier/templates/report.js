// Tables sort by a tap on a heading; without this script they stay as they are.
for (const table of document.querySelectorAll("table.sortable")) {
  table.querySelectorAll("th").forEach((head, column) => {
    const button = document.createElement("button");
    button.textContent = head.textContent;
    head.textContent = "";
    head.append(button);
    button.addEventListener("click", () => {
      const down = head.getAttribute("aria-sort") === "ascending";
      table.querySelectorAll("th").forEach((other) => other.removeAttribute("aria-sort"));
      head.setAttribute("aria-sort", down ? "descending" : "ascending");
      const rows = [...table.tBodies[0].rows];
      const text = (row) => row.cells[column].textContent.trim();
      rows.sort((a, b) => text(a).localeCompare(text(b), undefined, { numeric: true }) * (down ? -1 : 1));
      table.tBodies[0].append(...rows);
    });
  });
}

// Paper cannot be unfolded: all is open while printing, but questions that can wait.
addEventListener("beforeprint", () => {
  for (const folded of document.querySelectorAll("details:not([open], .later)")) {
    folded.open = true;
    folded.dataset.folded = "";
  }
});
addEventListener("afterprint", () => {
  for (const folded of document.querySelectorAll("details[data-folded]")) folded.open = false;
});
