# usage: Rscript survival.R FILE.csv TASK,TASK,... ; prints task, processor seconds (least of three below 200,000 rows), value
suppressMessages(library(survival)); a <- commandArgs(TRUE)
d <- if (requireNamespace("data.table", quietly = TRUE)) as.data.frame(data.table::fread(a[1], nThread = 1)) else read.csv(a[1])
d$ev <- as.integer(d$cause == 1); d$st <- factor(d$cause, 0:3, c("censored", "one", "two", "three")); t5 <- 1826
form <- ~ kind1 + kind2 + kind3 + kind4 + a + b + c + age + d
fn <- list(
  km = function() summary(survfit(Surv(exit, ev) ~ 1, d, conf.type = "log-log"), times = t5)$surv,
  km_late = function() summary(survfit(Surv(entry, exit, ev) ~ 1, d, conf.type = "log-log"), times = t5)$surv,
  aj = function() summary(survfit(Surv(exit, st) ~ 1, d), times = t5)$pstate[2],
  cox = function() coef(coxph(update(form, Surv(exit, ev) ~ .), d))[1],
  cox_breslow = function() coef(coxph(update(form, Surv(exit, ev) ~ .), d, ties = "breslow"))[1],
  cox_late = function() coef(coxph(update(form, Surv(entry, exit, ev) ~ .), d))[1],
  cox_clusters = function() coef(coxph(update(form, Surv(exit, ev) ~ .), d, cluster = cluster))[1])
for (k in strsplit(a[2], ",")[[1]]) { best <- Inf
  for (i in seq_len(if (nrow(d) > 2e5 || k == "aj") 1 else 3)) { s <- proc.time(); v <- fn[[k]](); e <- proc.time() - s; best <- min(best, e[1] + e[2]) }
  cat(k, best, format(as.numeric(v), digits = 15), "\n") }
