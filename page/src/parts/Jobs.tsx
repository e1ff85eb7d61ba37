// Work under way: a line each, with how far it is and a way to stop it.

import { cancel, clear, jobs } from "../state/jobs";

export function Jobs() {
  if (jobs.value.length === 0) return null;
  return (
    <ul class="plain jobs" aria-label="Work under way" aria-live="polite">
      {jobs.value.map((job) => (
        <li key={job.id}>
          <span>{job.state === "done" ? job.words || "done" : job.state === "failed" ? `${job.words}: ${job.error?.what ?? "failed"}` : job.words}</span>
          {job.state === "running" || job.state === "waiting" ? (
            <>
              <progress max={1} value={job.progress} aria-label={job.words}>{Math.round(job.progress * 100)} of 100</progress>
              <button type="button" class="press" onClick={() => cancel(job.id)}>stop it</button>
            </>
          ) : <button type="button" class="press" onClick={() => clear(job.id)}>good</button>}
        </li>
      ))}
    </ul>
  );
}
