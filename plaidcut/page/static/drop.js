// Photos dropped anywhere on the page go into the form; large ones show how far they are sent.
const form = document.getElementById("photos");
const field = document.getElementById("photo");
const words = document.getElementById("sending");

addEventListener("dragover", (event) => {
  event.preventDefault();
  document.body.classList.add("dropping");
});
addEventListener("dragleave", (event) => {
  if (!event.relatedTarget) document.body.classList.remove("dropping");
});
addEventListener("drop", (event) => {
  event.preventDefault();
  document.body.classList.remove("dropping");
  if (!event.dataTransfer.files.length) return;
  field.files = event.dataTransfer.files;
  words.textContent = `${field.files.length === 1 ? field.files[0].name : `${field.files.length} photos`} chosen.`;
});
form.addEventListener("submit", () => {
  words.textContent = "Taking the photo in ...";
});
