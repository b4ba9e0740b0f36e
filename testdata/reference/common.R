# Shared by the reference scripts: a careful optimiser for lmer and a writer of 17 digits.
suppressPackageStartupMessages({
    library(lme4)
    library(lmerTest)
    library(numDeriv)
    library(jsonlite)
})

# Minimises over theta >= 0 from several starts and polishes the interior coordinates with Newton steps, so that the optimum is
# exact to about 1e-9 and comparisons test the model, not the stopping rule.
careful <- function(fn, par, lower, upper, control) {
    best <- NULL
    for (start in c(1, 0.3, 0.05)) {
        end <- nlminb(rep(start, length(par)), fn, lower = lower, control = list(rel.tol = 1e-15, x.tol = 1e-12, eval.max = 5000, iter.max = 5000))
        if (is.null(best) || end$objective < best$objective - 1e-9) best <- end
    }
    theta <- best$par
    theta[theta <= 1e-4] <- 0
    inner <- which(theta > 0)
    part <- function(values) { full <- theta; full[inner] <- values; fn(full) }
    for (step in seq_len(3)) {
        if (length(inner) == 0) break
        theta[inner] <- theta[inner] - solve(hessian(part, theta[inner]), grad(part, theta[inner]))
    }
    list(par = theta, fval = fn(theta), conv = 0, message = "")
}

control <- lmerControl(optimizer = "careful", calc.derivs = FALSE, check.conv.singular = "ignore")

write_result <- function(result, name) {
    write_json(result, file.path(commandArgs(TRUE)[1], paste0(name, ".json")), digits = NA, auto_unbox = TRUE, pretty = TRUE)
}
