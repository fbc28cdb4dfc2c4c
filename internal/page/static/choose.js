// Says how many pieces are ticked, wherever you are on the page, and leads to the form
// that corrects them.
const form = document.querySelector("form.bare")
if (form && form.querySelector("#correct")) {
  const bar = document.createElement("p")
  bar.className = "chosen"
  bar.hidden = true
  const words = document.createElement("span")
  words.setAttribute("role", "status")
  const to = document.createElement("a")
  to.href = "#correct"
  to.textContent = "correct them"
  const none = document.createElement("button")
  none.type = "button"
  none.className = "quiet"
  none.textContent = "none"
  bar.append(words, to, none)
  form.append(bar)
  const ticks = () => [...form.querySelectorAll("input[name=piece]")]
  const show = () => {
    const n = ticks().filter((t) => t.checked).length
    bar.hidden = n === 0
    words.textContent = n === 1 ? "1 piece ticked" : `${n} pieces ticked`
  }
  none.addEventListener("click", () => { for (const t of ticks()) t.checked = false; show(); form.querySelector("summary").focus() })
  form.addEventListener("change", show)
  for (const family of form.querySelectorAll(".family")) {
    const all = document.createElement("button")
    all.type = "button"
    all.className = "quiet"
    all.textContent = "tick all"
    all.setAttribute("aria-label", "tick all of " + family.querySelector("h2").firstChild.textContent.trim())
    all.addEventListener("click", () => {
      for (const t of family.querySelectorAll("input[name=piece]")) t.checked = true
      show()
    })
    family.querySelector("summary").after(all)
  }
  show()
}
