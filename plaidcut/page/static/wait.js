// Asks how far a cloth is, until it is done.
const progress = document.getElementById("progress");

async function ask() {
  try {
    const answer = await fetch(progress.dataset.state, { headers: { accept: "application/json" } });
    const state = await answer.json();
    if (!answer.ok || !["waiting", "working"].includes(state.phase)) {
      location.reload();
      return;
    }
    const words = state.step || (state.before ? `${state.before} before it` : "Starting");
    if (progress.textContent !== `${words} ...`) progress.textContent = `${words} ...`;
  } catch {
    progress.textContent = "The page isn't answering: is plaidcut still running?";
  }
  setTimeout(ask, 250);
}

ask();
