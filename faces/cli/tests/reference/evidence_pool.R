# Makes evidence_pool.csv: Rscript evidence_pool.R > evidence_pool.csv
suppressMessages(library(metafor))
x <- c(3, 0, 7, 12, 1); t <- c(300, 120, 410, 300, 80)
cat("# metafor", as.character(packageVersion("metafor")), "rma(measure = IRLN, add = 1/2, to = only0), exp times 100; low and high at 95 %\n")
cat("model,ci,estimate,low,high,tau2\n")
for (m in c("common", "dl", "pm", "ml", "reml")) for (ci in c("wald", "hk")) {
  if (m == "common" && ci == "hk") next
  fit <- rma(measure = "IRLN", xi = x, ti = t, add = 1/2, to = "only0", method = switch(m, common = "EE", toupper(m)),
             test = if (ci == "hk") "knha" else "z", control = list(threshold = 1e-12, maxiter = 10000, tol = 1e-13))
  cat(sprintf("%s,%s,%.9g,%.9g,%.9g,%.9g\n", m, ci, 100 * exp(fit$beta), 100 * exp(fit$ci.lb), 100 * exp(fit$ci.ub), fit$tau2))
}
