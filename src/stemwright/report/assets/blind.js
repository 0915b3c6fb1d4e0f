/* Blind mode: letters instead of names. Which letter is which lives in a closure and nowhere in the page. */
(() => {
  if (!globalThis.stemwrightPage.players) return;
  const LETTERS = ["X", "Y", "Z"];
  const shuffled = (items) => {
    const deck = [...items];
    for (let left = deck.length - 1; left > 0; left -= 1) {
      const draw = crypto.getRandomValues(new Uint32Array(1))[0] % (left + 1);
      [deck[left], deck[draw]] = [deck[draw], deck[left]];
    }
    return deck;
  };
  const button = (text, act) => {
    const made = document.createElement("button");
    made.type = "button";
    made.textContent = text;
    made.addEventListener("click", act);
    return made;
  };

  globalThis.stemwrightPage.players((players, press) => {
    for (const player of players) {
      const toggle = player.root.querySelector(".blind");
      if (!toggle) continue;
      const area = player.root.querySelector(".guess");
      const positions = player.root.querySelector(".positions");
      const named = player.buttons.filter((each) => !each.dataset.side.startsWith("this-"));
      const wanted = named.find((each) => each.dataset.side === "this").textContent;
      let right = 0, asked = 0;

      const round = () => {
        const order = shuffled(named.map((each) => [each.dataset.side, each.textContent]));
        const letters = order.map(([side], place) => {
          const made = button(LETTERS[place], () => {
            player.choose(side, false);
            for (const each of letters) press(each, each === made);
          });
          made.dataset.letter = LETTERS[place];
          press(made, false);
          return made;
        });
        const question = document.createElement("span");
        question.textContent = `Which is ${wanted}?`;
        const answers = order.map(([side], place) => button(`${LETTERS[place]} is`, () => {
          asked += 1;
          right += side === "this" ? 1 : 0;
          const said = document.createElement("span");
          said.setAttribute("role", "status");
          const truth = order.map(([, name], index) => `${LETTERS[index]} was ${name}`).join(", ");
          said.textContent = `${side === "this" ? "Right" : "Not so"}: ${truth}. ${right} of ${asked}.`;
          const again = button("Again", round);
          area.replaceChildren(...letters, said, again);
          again.focus();
        }));
        area.replaceChildren(...letters, question, ...answers);
        letters[0].click();
      };
      toggle.addEventListener("click", () => {
        const on = toggle.getAttribute("aria-pressed") !== "true";
        press(toggle, on);
        positions.hidden = on;
        area.hidden = !on;
        for (const each of player.buttons) press(each, false);
        if (on) return round();
        area.replaceChildren();
        return player.choose(named[0].dataset.side);
      });
    }
  });
})();
