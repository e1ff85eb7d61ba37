// Work under way: a line each, with how far it is and a way to stop it.

import { cancel, clear, ended, jobs } from "../state/jobs";
import { route } from "../state/route";

export function Jobs() {
  // In its own room a table says itself what came of it.
  const told = jobs.value.filter((job) => !(job.kind === "import" && ended(job) && route.value.room === "register"));
  if (told.length === 0) return null;
  return (
    <ul class="plain jobs" aria-label="Work under way" aria-live="polite">
      {told.map((job) => (
        <li key={job.id}>
          <span>{job.state === "done" ? job.words || "done" : job.state === "failed" ? `${job.words}: ${job.error?.what ?? "failed"}` : job.words}</span>
          {!ended(job) ? (
            <>
              <progress max={1} value={job.progress > 0 ? job.progress : undefined} aria-label={job.words}>{Math.round(job.progress * 100)} of 100</progress>
              <button type="button" class="press" onClick={() => cancel(job.id)}>stop it</button>
            </>
          ) : <button type="button" class="press" onClick={() => clear(job.id)}>good</button>}
        </li>
      ))}
    </ul>
  );
}
