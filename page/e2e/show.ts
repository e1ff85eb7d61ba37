// Where pictures are put to be looked at: `--show=FOLDER`; nowhere without it.

export const show = process.argv.find((a) => a.startsWith("--show="))?.slice(7);
