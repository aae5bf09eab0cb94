"use strict";
(() => {
  const select = document.getElementById("drawing"), follow = document.getElementById("follow");
  const line = document.getElementById("line"), frame = document.getElementById("sheet");
  let chosen = "", shown = "", latestSeen = "";

  const show = (state) => {
    const latest = state.drawings[state.latest];
    const stamp = latest ? `${latest.name}\n${latest.version}` : "";
    if (latest && follow.checked && stamp !== latestSeen) chosen = latest.name;
    latestSeen = stamp;
    if (!state.drawings.some((d) => d.name === chosen)) chosen = state.drawings.length ? state.drawings[0].name : "";
    const names = state.drawings.map((d) => d.name);
    if (names.join("\n") !== [...select.options].map((o) => o.value).join("\n"))
      select.replaceChildren(...names.map((name) => new Option(name, name)));
    select.value = chosen;
    const number = names.indexOf(chosen), drawing = state.drawings[number];
    if (!drawing) return;
    line.textContent = drawing.line;
    const address = drawing.version ? `/sheet/${number}?v=${drawing.version}&name=${encodeURIComponent(chosen)}` : "";
    if (address && address !== shown) {
      const same = shown.endsWith(`&name=${encodeURIComponent(chosen)}`);
      const at = same && frame.contentWindow ? frame.contentWindow.scrollY : 0;
      frame.addEventListener("load", () => frame.contentWindow.scrollTo(0, at), { once: true });
      frame.src = address;
      shown = address;
    }
  };
  const ask = async () => {
    try {
      show(await (await fetch("/state", { cache: "no-store" })).json());
    } catch {
      line.textContent = "The watch has ended.";
    }
  };
  select.addEventListener("change", () => { chosen = select.value; ask(); });
  setInterval(ask, 1000);
  ask();
})();
