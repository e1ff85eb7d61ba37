// Files dropped anywhere: a scan or a photograph goes to the sheet, a table and its layout to the register. The same by a button, for
// those who do not drag.

import { signal } from "@preact/signals";
import { useEffect } from "preact/hooks";
import { ask } from "../api/client";
import { takeTable } from "../rooms/ImportTable";
import { arch } from "../state/case";
import { sheet, shown, tell, trouble } from "../state/desk";
import { follow, type Job } from "../state/jobs";
import { go, route } from "../state/route";
import { number } from "../state/words";

const over = signal(false);
/** A file that waits to be told its tooth. */
const waiting = signal<File | null>(null);

type Kind = "scan" | "photo" | "csv";

function kind(name: string): Kind | null {
  if (/\.(stl|ply|obj|off)$/i.test(name)) return "scan";
  if (/\.(jpe?g|png|webp|tiff?)$/i.test(name)) return "photo";
  return /\.(csv|toml)$/i.test(name) ? "csv" : null;
}

export async function take(files: Iterable<File>): Promise<void> {
  for (const file of files) {
    const what = kind(file.name);
    if (what === "csv") {
      await takeTable(file);
      if (route.value.room !== "register") go("register");
    } else if (what && sheet.value && route.value.id) {
      const teeth = standing();
      if (what === "scan" && teeth.length > 1) waiting.value = file;
      else await send(file, what, teeth[0]);
    } else {
      trouble.value = what
        ? { what: `${file.name} was not taken.`, expected: "Scans and photographs belong to a sheet.", do: "Open the sheet, then drop the file on it." }
        : { what: `${file.name} was not taken.`, expected: "Scans (STL, PLY, OBJ), photographs (JPEG, PNG), tables (CSV with a TOML layout).", do: "Save it as one of these and drop it again. Nothing was changed." };
    }
  }
}

function standing(): number[] {
  const { teeth, missing } = arch(shown.value);
  return teeth.filter((t) => !missing.includes(t));
}

async function send(file: File, what: Kind, tooth: number | undefined): Promise<void> {
  // Names of files tell people, and addresses are written down on the way: only the ending goes along.
  const query = new URLSearchParams({ name: `file${/\.\w+$/.exec(file.name)?.[0] ?? ""}`, kind: what, ...(tooth ? { tooth: String(tooth) } : {}) });
  try {
    const got = await ask<{ job: Job }>(`/sheets/${sheet.value?.id}/files?${query}`, { method: "POST", raw: file, headers: { "content-type": "application/octet-stream" } });
    if (got?.job) follow(got.job, file.name);
  } catch (error) {
    tell(error);
  }
}

/** Listens for files dragged over the window. */
export function Drop() {
  useEffect(() => {
    const drag = (e: DragEvent) => {
      if (!e.dataTransfer?.types.includes("Files")) return;
      e.preventDefault();
      over.value = true;
    };
    const leave = (e: DragEvent) => {
      if (!e.relatedTarget) over.value = false;
    };
    const drop = (e: DragEvent) => {
      over.value = false;
      if (!e.dataTransfer?.files.length) return;
      e.preventDefault();
      void take([...e.dataTransfer.files]);
    };
    addEventListener("dragover", drag);
    addEventListener("dragleave", leave);
    addEventListener("drop", drop);
    return () => {
      removeEventListener("dragover", drag);
      removeEventListener("dragleave", leave);
      removeEventListener("drop", drop);
    };
  }, []);
  const file = waiting.value;
  return (
    <>
      {over.value && <div class="over" aria-hidden="true">Let go to add it</div>}
      {file && (
        <div class="trouble" role="alert">
          <p><strong>Which tooth does {file.name} show?</strong></p>
          <p class="choices">
            {standing().map((t) => <button type="button" onClick={() => { waiting.value = null; void send(file, "scan", t); }}>{number(t)}</button>)}
            <button type="button" onClick={() => (waiting.value = null)}>leave it</button>
          </p>
        </div>
      )}
    </>
  );
}

export function AddFile() {
  return (
    <label class="add-file press">
      Add a scan or a photograph
      <input type="file" class="sr" multiple accept=".stl,.ply,.obj,.jpg,.jpeg,.png,.webp,.csv,.toml" onChange={(e) => { void take([...(e.currentTarget.files ?? [])]); e.currentTarget.value = ""; }} />
    </label>
  );
}
