// Puts a field to find a golfer before a long choice of golfers. Without scripts the choice stands as it is.
(() => {
  const FEW = 12;
  const letters = { "ø": "o", "ł": "l", "đ": "d", "ð": "d", "ı": "i", "ß": "ss", "æ": "ae", "œ": "oe", "þ": "th" };
  const bare = (text) =>
    text.toLocaleLowerCase().normalize("NFD").replace(/[\p{M}'’]/gu, "").replace(/[øłđðıßæœþ]/g, (one) => letters[one]);
  const itemsOf = (choice) => {
    if (choice.tagName === "SELECT") return [...choice.options].filter((one) => one.value);
    return choice.tagName === "TABLE" ? [...choice.tBodies[0].rows] : [...choice.querySelectorAll("label")];
  };
  const make = (choice) => {
    choice.dataset.made = "yes";
    const items = itemsOf(choice);
    if (items.length <= FEW) return;
    const label = document.createElement("label"), input = document.createElement("input"), count = document.createElement("span");
    input.type = "search";
    count.className = "note";
    count.setAttribute("role", "status");
    label.className = "find";
    label.append("Find a golfer ", input, " ", count);
    const show = (event) => {
      event.stopPropagation();
      const wanted = bare(input.value.trim()).split(/\s+/);
      const fits = items.filter((one) => wanted.every((word) => bare(one.textContent).includes(word)));
      for (const one of items) one.hidden = one.disabled = !fits.includes(one) && !one.selected;
      count.textContent = `${fits.length || "None"} of ${items.length}`;
      if (choice.tagName === "SELECT" && !choice.multiple && input.value && fits.length) {
        for (const one of items) one.hidden = one.disabled = !fits.includes(one);
        choice.value = fits[0].value;
      }
    };
    input.addEventListener("input", show);
    input.addEventListener("change", (event) => event.stopPropagation());
    input.addEventListener("keydown", (event) => event.key === "Enter" && event.preventDefault());
    if (choice.tagName === "FIELDSET") choice.querySelector("legend").after(label);
    else choice.before(label);
  };
  const start = () => document.querySelectorAll("[data-find]:not([data-made])").forEach(make);
  new MutationObserver(start).observe(document.documentElement, { childList: true, subtree: true });
  start();
})();
