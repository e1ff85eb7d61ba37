# Peer of the pooling bench: Rscript pooling.R FILE. Prints method, median seconds a fit, pooled value of each set.
suppressMessages(library(metafor))
data <- read.csv(commandArgs(TRUE)[1])
sets <- split(data, data$set)
fits <- list(
  reml = function(d) rma.uni(measure = "IRLN", xi = d$x, ti = d$t, add = 1/2, to = "only0", method = "REML"),
  glmm = function(d) suppressWarnings(rma.glmm(measure = "IRLN", xi = d$x, ti = d$t, nAGQ = 25))
)
for (name in names(fits)) {
  fit <- fits[[name]]
  invisible(fit(sets[[1]]))
  runs <- if (name == "reml") 5 else 1
  b <- numeric(0); s <- numeric(0)
  for (d in sets) {
    start <- proc.time()[["elapsed"]]
    for (r in seq_len(runs)) f <- fit(d)
    s <- c(s, (proc.time()[["elapsed"]] - start) / runs)
    b <- c(b, as.numeric(f$beta))
  }
  cat(name, format(median(s), digits = 8), format(b, digits = 15, trim = TRUE), sep = ",")
  cat("\n")
}
