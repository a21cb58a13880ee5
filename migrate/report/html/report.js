"use strict";
for (const look of document.querySelectorAll("[data-look]")) {
  const root = look.querySelector("[data-player]");
  if (!root) continue;
  root.hidden = false;
  const player = new Player(root), choice = root.querySelector("[data-scene-choice]");
  const show = async (scene) => {
    for (const part of look.querySelectorAll("[data-scene]")) part.hidden = part.dataset.scene !== scene;
    const images = {};
    for (const image of look.querySelectorAll(`figure[data-scene] img, [data-scene] img[data-side]`))
      if (image.closest("[data-scene]").dataset.scene === scene && image.dataset.side !== "difference")
        images[image.dataset.side] = image;
    await player.load(images);
  };
  choice.addEventListener("change", () => { player.stop(); player.frame = 0; show(choice.value); });
  root.addEventListener("click", (event) => {
    const jump = event.target.closest("[data-jump]");
    if (jump) player.seek(Number(jump.dataset.jump));
  });
  // Frames are read from the pictures when the reader comes near, so a long page opens at once.
  new IntersectionObserver((seen, watcher) => {
    if (seen.some((one) => one.isIntersecting)) { watcher.disconnect(); show(choice.value); }
  }, { rootMargin: "400px" }).observe(look);
}
addEventListener("beforeprint", () => { for (const fold of document.querySelectorAll("details")) fold.open = true; });
