# Rank test and trim-and-fill of metafor on the stored sets: Rscript small_studies.R > small_studies.json (run in this folder).
suppressMessages({library(metafor); library(jsonlite)})
out <- list(software = list(R = as.character(getRversion()), metafor = as.character(packageVersion("metafor"))))
for (set in c("nielweise2008_arm1", "hart1999_arm1", "nielweise2007_arm1_as_rate", "synthetic_homogeneous", "bcg_control")) {
  j <- fromJSON(paste0(set, ".json"))
  scale <- if (set == "bcg_control") j$logit else j$log_rate
  for (rule in names(scale)) {
    yi <- scale[[rule]]$yi; vi <- scale[[rule]]$vi
    r <- ranktest(yi, vi)
    fit <- rma(yi, vi, method = "REML", control = list(threshold = 1e-14, maxiter = 10000))
    entry <- list(tau = unname(r$tau), p = r$pval)
    for (e in c("L0", "R0")) {
      t <- try(trimfill(fit, estimator = e), silent = TRUE)
      if (!inherits(t, "try-error")) entry[[e]] <- list(k0 = t$k0, side = t$side, b = as.numeric(t$beta), se = t$se, tau2 = t$tau2)
    }
    out[[paste0(set, "/", rule)]] <- entry
  }
}
cat(toJSON(out, digits = 15, auto_unbox = TRUE, pretty = TRUE), "\n")
