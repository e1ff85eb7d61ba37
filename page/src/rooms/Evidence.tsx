// To come.

export function Evidence(_: { id?: string | null }) {
  return <main id="main" tabIndex={-1} class="room"><h1>Evidence</h1></main>;
}
