// The page: learns the trade's words, listens to keys and dropped files, and shows the room the address names.

import { effect } from "@preact/signals";
import { render } from "preact";
import { Drop } from "./drop/Drop";
import { Head } from "./parts/Head";
import { Jobs } from "./parts/Jobs";
import { Keys } from "./parts/Keys";
import { TroubleLine } from "./parts/Trouble";
import { Evidence } from "./rooms/Evidence";
import { Home } from "./rooms/Home";
import { Papers } from "./rooms/Papers";
import { Register } from "./rooms/Register";
import { SheetRoom } from "./sheet/Sheet";
import { behind } from "./state/desk";
import { resume } from "./state/jobs";
import { listen } from "./state/keys";
import { route } from "./state/route";
import { learn } from "./state/words";

function Page() {
  const { room, id } = route.value;
  return (
    <>
      <Head />
      <Keys />
      <TroubleLine />
      <Drop />
      <Jobs />
      {room === "sheet" && id ? <SheetRoom id={id} /> : room === "papers" && id ? <Papers id={id} /> : room === "evidence" ? <Evidence /> : room === "register" ? <Register /> : <Home />}
    </>
  );
}

effect(() => void document.documentElement.classList.toggle("behind", behind.value));
void learn();
listen();
void resume();
const holder = document.getElementById("page");
if (holder) render(<Page />, holder);
