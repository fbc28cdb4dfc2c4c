// Has the corners of a piece dragged on its photo; the lines of the form follow.
const drawn = document.querySelector(".onphoto")
const text = document.querySelector("textarea[name=outline]")
const here = drawn && drawn.querySelector("a[aria-current]")
if (here && text) {
  const NS = "http://www.w3.org/2000/svg"
  const read = () => text.value.trim().split(/\s+/).map((line) => line.split(",").map(Number))
  const size = drawn.viewBox.baseVal.width / 45
  const knobs = document.createElementNS(NS, "g")
  drawn.append(knobs)
  const draw = () => {
    const points = read()
    if (points.some((p) => p.length !== 2 || p.some(Number.isNaN))) return
    for (const polygon of here.querySelectorAll("polygon")) polygon.setAttribute("points", points.map((p) => p.join(",")).join(" "))
    knobs.replaceChildren(...points.map(([x, y], i) => {
      const knob = document.createElementNS(NS, "circle")
      knob.setAttribute("class", "knob")
      knob.setAttribute("cx", x)
      knob.setAttribute("cy", y)
      knob.setAttribute("r", size)
      knob.addEventListener("touchmove", (move) => move.preventDefault(), { passive: false }) // the page lies still
      knob.addEventListener("pointerdown", (down) => {
        down.preventDefault()
        knob.setPointerCapture(down.pointerId)
        knob.onpointermove = (move) => {
          const at = new DOMPoint(move.clientX, move.clientY).matrixTransform(drawn.getScreenCTM().inverse())
          const now = read()
          now[i] = [Math.round(at.x), Math.round(at.y)]
          text.value = now.map((p) => p.join(",")).join("\n")
          for (const polygon of here.querySelectorAll("polygon")) polygon.setAttribute("points", now.map((p) => p.join(",")).join(" "))
          knob.setAttribute("cx", now[i][0])
          knob.setAttribute("cy", now[i][1])
        }
        knob.onpointerup = () => { knob.onpointermove = null }
      })
      return knob
    }))
  }
  if (read().length <= 12) draw() // an outline of many corners is for the form alone
  text.addEventListener("change", draw)
}
