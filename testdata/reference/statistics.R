# The smaller statistics, with base R: t quantiles, Holm, paired ratios, a jackknife, two one-sided tests,
# straight lines, robust deviations, certified regressions.
# Usage: Rscript statistics.R RESULT_FOLDER, in this folder.
source("common.R")

read <- function(name) read.csv(file.path("data", paste0(name, ".csv")))
interval <- function(test) list(value = unname(test$estimate), low = test$conf.int[1], high = test$conf.int[2])

grid <- expand.grid(p = c(0.6, 0.75, 0.9, 0.95, 0.975, 0.995, 0.9999, 0.01), df = c(0.6, 1, 1.7, 2.3, 5, 9, 22.81, 161, 12345.6))
quantiles <- lapply(seq_len(nrow(grid)), function(i) list(p = grid$p[i], df = grid$df[i], t = qt(grid$p[i], grid$df[i])))
tails <- lapply(list(c(-4.062127683, 9), c(0.3, 2.2), c(12, 4.5), c(2, 1000)), function(x)
    list(t = x[1], df = x[2], two_sided = 2 * pt(-abs(x[1]), x[2])))

holm_cases <- list(c(0.01, 0.04, 0.03, 0.005), c(0.2, 0.2, 0.9, 0.001, 0.04, 0.04), c(0.5), c(0.9, 0.8, 0.7))
holm <- lapply(holm_cases, function(p) list(p = as.list(p), adjusted = as.list(p.adjust(p, "holm"))))

sleep_pairs <- read("sleep")
sleep_test <- t.test(sleep_pairs$first, sleep_pairs$second, paired = TRUE)
student <- c(interval(sleep_test), t = unname(sleep_test$statistic), df = unname(sleep_test$parameter))

salt <- c(300, 250, 280, 320, 260, 310, 270, 290)
acetate <- c(390, 310, 350, 420, 330, 380, 360, 370)
ratio_test <- t.test(log(acetate), log(salt), paired = TRUE)
geometric <- list(numerator = acetate, denominator = salt, value = unname(exp(ratio_test$estimate)),
    low = exp(ratio_test$conf.int[1]), high = exp(ratio_test$conf.int[2]))

# Invented season: acetate and chloride pounds per lane-mile of ten storms, one of them 0.
acetate_sum <- c(412, 250, 0, 611, 330, 505, 298, 720, 150, 366)
chloride_sum <- c(380, 262, 40, 540, 351, 470, 305, 640, 171, 340)
whole <- log(sum(acetate_sum) / sum(chloride_sum))
n <- length(acetate_sum)
part <- vapply(seq_len(n), function(i) log(sum(acetate_sum[-i]) / sum(chloride_sum[-i])), 0)
se <- sqrt((n - 1) / n * sum((part - mean(part))^2))
jackknife <- list(numerator = acetate_sum, denominator = chloride_sum, value = exp(whole), se_log = se, df = n - 1,
    low = exp(whole - qt(0.95, n - 1) * se), high = exp(whole + qt(0.95, n - 1) * se))

# Two one-sided tests on ln ratios against +-ln(1 + margin): R's one-sided t.tests.
equal <- c(0.02, -0.03, 0.05, 0.01, -0.02, 0.04, 0.00, 0.03, -0.01, 0.02)
tost_case <- function(values, margin) {
    low <- t.test(values, mu = -log(1 + margin), alternative = "greater")
    high <- t.test(values, mu = log(1 + margin), alternative = "less")
    both <- t.test(values, conf.level = 0.90)
    list(values = values, margin = margin, p = max(low$p.value, high$p.value), value = exp(unname(both$estimate)),
        low = exp(both$conf.int[1]), high = exp(both$conf.int[2]), se_log = unname(both$stderr), df = unname(both$parameter))
}
tost <- list(tost_case(equal, 0.10), tost_case(equal * 6, 0.10), tost_case(equal + 0.3, 0.10), tost_case(equal, 0.02))

# Power of the two one-sided tests at a true difference of 0: the share of estimates inside, given their standard error, averaged over
# its chi-square distribution by integrate().
tost_power <- function(margin, se, df) {
    room <- function(x) (margin - qt(0.95, df) * se * sqrt(x / df)) / se
    inside <- function(x) pmax(0, 2 * pnorm(room(x)) - 1) * dchisq(x, df)
    last <- min(df * (margin / (qt(0.95, df) * se))^2, qchisq(1 - 1e-13, df))
    list(margin = margin, se = se, df = df, power = integrate(inside, qchisq(1e-13, df), last, rel.tol = 1e-9, subdivisions = 1000)$value)
}
powers <- lapply(list(c(log(1.1), 0.03, 4), c(log(1.15), 0.04, 2.6), c(log(1.1), 0.02, 9), c(log(1.15), 0.05, 40), c(log(1.1), 0.06, 12.5),
    c(log(1.1), 0.033, 2000), c(log(1.25), 0.2, 1.2), c(log(1.25), 0.05, 22)), function(x) tost_power(x[1], x[2], x[3]))

norris <- read("norris")
norris_fit <- summary(lm(y ~ x, norris))
x <- log2(1 + c(0, 1, 2, 4, 5, 7, 8, 10, 12, 13, 15, 16))
y <- log(c(1.44, 1.38, 1.30, 1.29, 1.22, 1.25, 1.17, 1.16, 1.10, 1.14, 1.06, 1.08))
line <- lm(y ~ x)
at <- data.frame(x = log2(1 + 17))
mean_interval <- predict(line, at, interval = "confidence", level = 0.90)
one_interval <- predict(line, at, interval = "prediction", level = 0.90)
as_interval <- function(row) list(value = row[1, "fit"], low = row[1, "lwr"], high = row[1, "upr"])
lines <- list(
    norris = list(coefficients = unname(norris_fit$coefficients[, 1]), se = unname(norris_fit$coefficients[, 2]), sd = norris_fit$sigma),
    end = list(x = x, y = y, at = at$x, coefficients = unname(coef(line)), mean = as_interval(mean_interval), one = as_interval(one_interval)))

longley_fit <- lm(y ~ x1 + x2 + x3 + x4 + x5 + x6, read("longley"), tol = 1e-12)
longley <- list(coefficients = unname(coef(longley_fit)), se = unname(summary(longley_fit)$coefficients[, 2]), sd = sigma(longley_fit),
    criterion = -2 * as.numeric(logLik(longley_fit, REML = TRUE)))

robust_values <- c(0.1, -0.2, 0.05, 0.3, -0.15, 2.4, 0.0, -0.1)
robust <- list(values = robust_values, deviations = (robust_values - median(robust_values)) / mad(robust_values),
    quartiles = unname(quantile(robust_values, c(0.25, 0.5, 0.75))))

write_result(list(t_quantiles = quantiles, t_tails = tails, holm = holm, student = student, geometric = geometric,
    jackknife = jackknife, tost = tost, tost_power = powers, lines = lines, longley = longley, robust = robust), "statistics")
