// Something went wrong: what happened, what is safe, what to do next.

import type { Issue } from "../api/types";
import { trouble } from "../state/desk";

export function TroubleLine() {
  const now = trouble.value;
  return <div role="alert">{now && <IssueLines issue={now} />}</div>;
}

export function IssueLines({ issue }: { issue: Issue }) {
  return (
    <div class="trouble">
      <p><strong>{issue.what}</strong>{issue.where ? ` (${issue.where})` : ""}</p>
      {(issue.expected || issue.do) && <p>{[issue.expected, issue.do].filter(Boolean).join(" ")}</p>}
    </div>
  );
}
