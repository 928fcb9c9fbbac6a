// Daylight, pit, or as the phone has it. Held per phone, not per person: the
// light belongs to the place.
export type Theme = "system" | "light" | "dark";

const darkness = matchMedia("(prefers-color-scheme: dark)");

export function chosenTheme(): Theme {
  const found = localStorage.getItem("theme");
  return found === "light" || found === "dark" ? found : "system";
}

function show(): void {
  const chosen = chosenTheme();
  const dark = chosen === "dark" || (chosen === "system" && darkness.matches);
  document.documentElement.dataset.theme = dark ? "dark" : "light";
  const ground = getComputedStyle(document.documentElement).getPropertyValue("--ground").trim();
  document.querySelector('meta[name="theme-color"]')?.setAttribute("content", ground);
}

export function setTheme(theme: Theme): void {
  if (theme === "system") localStorage.removeItem("theme");
  else localStorage.setItem("theme", theme);
  show();
}

export function startTheme(): void {
  show();
  darkness.addEventListener("change", show);
}
