// The door of a class and of the desk of its instructor, and the desk: buttons that move the projector.

const DOORS = { "/": ["Door word", "/door"], "/desk": ["Code of the instructor", "/desk/code"] };

const why = document.getElementById("why");

async function post(path, body) {
  const answer = await fetch(path, {
    method: "POST",
    headers: { "Content-Type": "application/json" },
    body: JSON.stringify(body),
  });
  const said = await answer.json().catch(() => ({}));
  why.textContent = answer.ok ? "" : (said.problem?.what ?? answer.statusText);
  return answer.ok;
}

const form = document.querySelector("form");
if (form) {
  const [asked, to] = DOORS[location.pathname] ?? DOORS["/"];
  document.getElementById("asked").textContent = asked;
  form.addEventListener("submit", async (event) => {
    event.preventDefault();
    if (await post(to, { word: form.word.value })) location.reload();
  });
}

for (const button of document.querySelectorAll("[data-do]")) {
  button.addEventListener("click", () => post("/desk/do", { do: button.dataset.do }));
}

const at = document.getElementById("at");
if (at) {
  new EventSource("/class/events").addEventListener("at", (event) => {
    const { title, question } = JSON.parse(event.data);
    if (title) at.textContent = [title, question].filter(Boolean).join(" - ");
  });
}
