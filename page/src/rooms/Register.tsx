// To come.

export function Register(_: { id?: string | null }) {
  return <main id="main" tabIndex={-1} class="room"><h1>Register</h1></main>;
}
