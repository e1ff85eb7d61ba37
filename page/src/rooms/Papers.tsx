// To come.

export function Papers(_: { id?: string | null }) {
  return <main id="main" tabIndex={-1} class="room"><h1>Papers</h1></main>;
}
