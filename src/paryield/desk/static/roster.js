// Sorts, filters and searches the table of the club. Without scripts the table stands in its own order.
(() => {
  const letters = { "ø": "o", "ł": "l", "đ": "d", "ð": "d", "ı": "i", "ß": "ss", "æ": "ae", "œ": "oe", "þ": "th" };
  const bare = (text) =>
    text.toLocaleLowerCase().normalize("NFD").replace(/[\p{M}'’]/gu, "").replace(/[øłđðıßæœþ]/g, (one) => letters[one]);
  const value = (row, place) => {
    const cell = row.cells[place];
    const held = cell.dataset.value ?? cell.textContent.trim();
    const number = Number(held);
    return held === "" ? null : Number.isNaN(number) ? held : number;
  };
  const compare = (one, other) => {
    if (one === null || other === null) return (one === null) - (other === null);
    return typeof one === "number" && typeof other === "number" ? one - other : String(one).localeCompare(String(other));
  };
  const sortBy = (table, place, button) => {
    const head = button.closest("th");
    const down = head.getAttribute("aria-sort") === "ascending";
    table.querySelectorAll("th[aria-sort]").forEach((one) => one.removeAttribute("aria-sort"));
    head.setAttribute("aria-sort", down ? "descending" : "ascending");
    const body = table.tBodies[0];
    const rows = [...body.rows].sort((one, other) => {
      const [mine, theirs] = [value(one, place), value(other, place)];
      const blank = mine === null || theirs === null;
      return compare(mine, theirs) * (down && !blank ? -1 : 1);
    });
    body.append(...rows);
  };
  // What was typed and chosen, kept while golfers that are worked out meanwhile take their place in the list.
  const kept = { text: "", pressing: false, group: "", sorted: null, typing: false };
  const make = (table) => {
    table.dataset.made = "yes";
    document.querySelectorAll(".tools").forEach((one) => one.remove());
    const tools = document.createElement("p");
    tools.className = "row tools";
    const count = document.createElement("span");
    count.setAttribute("role", "status");
    count.className = "note";
    const field = (type, words) => {
      const label = document.createElement("label"), input = document.createElement("input");
      input.type = type;
      label.append(...(type === "checkbox" ? [input, " " + words] : [words + " ", input]));
      tools.append(label);
      return input;
    };
    const name = field("search", "Find a golfer or a group");
    const pressing = field("checkbox", "Only who needs a look");
    const rows = [...table.tBodies[0].rows];
    const groups = [...new Set(rows.map((row) => row.dataset.group).filter(Boolean))].sort();
    const group = document.createElement("select");
    if (groups.length > 1) {
      const label = document.createElement("label");
      group.append(new Option("all", ""), ...groups.map((one) => new Option(one, one)));
      label.append("Group ", group);
      tools.append(label);
      group.addEventListener("change", () => show());
    }
    [name.value, pressing.checked] = [kept.text, kept.pressing];
    if (groups.includes(kept.group)) group.value = kept.group;
    const show = () => {
      const wanted = bare(name.value.trim()).split(/\s+/);
      let shown = 0;
      for (const row of table.tBodies[0].rows) {
        const text = bare(`${row.cells[0].textContent} ${row.dataset.group ?? ""}`);
        const fits = wanted.every((word) => text.includes(word)) && (!group.value || row.dataset.group === group.value);
        row.hidden = !fits || (pressing.checked && !row.classList.contains("waiting"));
        shown += row.hidden ? 0 : 1;
      }
      Object.assign(kept, { text: name.value, pressing: pressing.checked, group: group.value });
      count.textContent = `${shown || "None"} of ${table.tBodies[0].rows.length} golfers`;
    };
    name.addEventListener("input", show);
    pressing.addEventListener("change", show);
    window.addEventListener("pageshow", show);
    tools.append(count);
    const head = window.matchMedia("(max-width: 30rem)").matches && document.querySelector("main > .where");
    if (head) head.after(tools);
    else table.before(tools);
    [...table.tHead.rows[0].cells].forEach((head, place) => {
      const button = document.createElement("button");
      button.type = "button";
      button.textContent = head.textContent;
      head.replaceChildren(button);
      button.addEventListener("click", () => {
        sortBy(table, place, button);
        kept.sorted = [place, head.getAttribute("aria-sort")];
      });
      if (kept.sorted?.[0] === place) {
        sortBy(table, place, button);
        if (kept.sorted[1] === "descending") sortBy(table, place, button);
      }
    });
    name.addEventListener("focus", () => { kept.typing = true; });
    if (kept.typing && document.activeElement === document.body) name.focus();
    name.addEventListener("blur", () => { kept.typing = !name.isConnected; });
    show();
  };
  const start = () => document.querySelectorAll("table.roster:not([data-made])").forEach(make);
  new MutationObserver(start).observe(document.documentElement, { childList: true, subtree: true });
  start();
})();
