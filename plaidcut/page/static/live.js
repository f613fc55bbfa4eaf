// A form whose answer follows every change, without the page being loaded again.
const form = document.querySelector("form[data-part]");
const place = document.getElementById(form.dataset.part);
document.documentElement.classList.add("with-script");
let latest = 0;

async function follow(button) {
  const asked = ++latest;
  place.setAttribute("aria-busy", "true");
  const address = `${form.getAttribute("action")}?${new URLSearchParams(new FormData(form, button))}`;
  const answer = await fetch(address, { headers: { "x-plaidcut-part": form.dataset.part } });
  const text = await answer.text();
  if (asked !== latest) return;
  place.removeAttribute("aria-busy");
  if (answer.ok) {
    place.innerHTML = text;
    history.replaceState(null, "", address);
  } else {
    const page = new DOMParser().parseFromString(text, "text/html");
    place.replaceChildren(page.querySelector(".problem") ?? "That didn't work.");
  }
  place.dispatchEvent(new CustomEvent("followed", { bubbles: true }));
}

form.addEventListener("change", () => follow());
form.addEventListener("submit", (event) => {
  event.preventDefault();
  follow(event.submitter);
});
