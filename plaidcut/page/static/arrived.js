// Asks what has arrived from phones, and shows it.
const place = document.getElementById("arrived");

async function ask() {
  try {
    const answer = await fetch("/phones", { headers: { "x-plaidcut-part": "arrived" } });
    const text = await answer.text();
    if (answer.ok && place.dataset.text !== text) {
      place.innerHTML = text;
      place.dataset.text = text;
    }
  } catch {
    place.textContent = "The page isn't answering: is plaidcut still running?";
  }
  setTimeout(ask, 1500);
}

ask();
