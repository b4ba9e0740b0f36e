# Writes the inputs of the reference calculations to data/.
# sleepstudy, Dyestuff and Dyestuff2 come from R package lme4; longley and sleep from R's own datasets.
# crossed_1 to crossed_3 are invented here, from fixed seeds, in the form of the learning fit:
# ln(rate) = b0 + b1 x + covariates + storm + route + crew + slope_crew x + e, x = log2(1 + storms worked).
suppressPackageStartupMessages(library(lme4))

write_table <- function(table, name) {
    write.csv(table, file.path("data", paste0(name, ".csv")), row.names = FALSE, quote = FALSE)
}

zero_based <- function(values) as.integer(factor(values, levels = unique(values))) - 1L

write_table(data.frame(reaction = sleepstudy$Reaction, days = sleepstudy$Days, subject = zero_based(sleepstudy$Subject)), "sleepstudy")
write_table(data.frame(yield = Dyestuff$Yield, batch = zero_based(Dyestuff$Batch)), "dyestuff")
write_table(data.frame(yield = Dyestuff2$Yield, batch = zero_based(Dyestuff2$Batch)), "dyestuff2")

# In the units of NIST's certified Longley regression (R's table is in thousands and tenths).
write_table(data.frame(y = round(1000 * longley$Employed), x1 = longley$GNP.deflator, x2 = round(1000 * longley$GNP),
    x3 = round(10 * longley$Unemployed), x4 = round(10 * longley$Armed.Forces), x5 = round(1000 * longley$Population),
    x6 = longley$Year), "longley")
write_table(data.frame(first = sleep$extra[sleep$group == 1], second = sleep$extra[sleep$group == 2]), "sleep")

invent <- function(seed, storms, crews, routes, sd) {
    set.seed(seed, kind = "Mersenne-Twister", normal.kind = "Inversion", sample.kind = "Rejection")
    storm <- data.frame(air = rnorm(storms, 24, 6), intensity = rexp(storms, 20), freezing = rbinom(storms, 1, 0.25),
        effect = rnorm(storms, 0, sd["storm"]))
    crew <- data.frame(effect = rnorm(crews, 0, sd["crew"]), slope = rnorm(crews, 0, sd["slope"]), prior = rpois(crews, 2))
    route <- data.frame(effect = rnorm(routes, 0, sd["route"]), home = rep_len(seq_len(crews), routes))
    rows <- list()
    for (s in seq_len(storms)) {
        worked <- logical(crews)
        for (r in which(runif(routes) < 0.8)) {
            c <- if (runif(1) < 0.8) route$home[r] else sample.int(crews, 1)
            worked[c] <- TRUE
            rows[[length(rows) + 1]] <- data.frame(storm = s, route = r, crew = c, x = log2(1 + crew$prior[c]))
        }
        crew$prior <- crew$prior + worked
    }
    table <- do.call(rbind, rows)
    mean <- log(380) - 0.05 * table$x - 0.006 * (storm$air[table$storm] - 24) + 1.5 * storm$intensity[table$storm] +
        0.12 * storm$freezing[table$storm]
    random <- storm$effect[table$storm] + route$effect[table$route] + crew$effect[table$crew] + crew$slope[table$crew] * table$x
    data.frame(ln_rate = round(mean + random + rnorm(nrow(table), 0, sd["residual"]), 6), x = round(table$x, 6),
        air = round(storm$air[table$storm], 2), intensity = round(storm$intensity[table$storm], 4),
        freezing = storm$freezing[table$storm],
        storm = zero_based(table$storm), route = zero_based(table$route), crew = zero_based(table$crew))
}

write_table(invent(2029, 25, 6, 14, c(storm = 0.12, route = 0.06, crew = 0.08, slope = 0.03, residual = 0.10)), "crossed_1")
write_table(invent(2030, 40, 12, 30, c(storm = 0.15, route = 0.10, crew = 0.10, slope = 0.02, residual = 0.15)), "crossed_2")
write_table(invent(2031, 14, 4, 7, c(storm = 0.10, route = 0.05, crew = 0.00, slope = 0.00, residual = 0.20)), "crossed_3")

# Invented: three seasons of 12 storms in two zones, for the comparison. Routes a* are on acetate, s* on chloride; b* turn to acetate in
# the third season; c1 turns and turns back. A storm in ten needs nothing; some route-storms are left out. Pounds in whole hundredths.
invent_seasons <- function(seed) {
    set.seed(seed, kind = "Mersenne-Twister", normal.kind = "Inversion", sample.kind = "Rejection")
    routes <- data.frame(route = c("a1", "a2", "b1", "b2", "c1", "s1", "s2", "s3", "a3", "b3", "b4", "s5", "s6"),
        zone = rep(c("z1", "z2"), c(8, 5)), length = c(24, 18, 30, 22, 26, 28, 34, 20, 25, 21, 27, 32, 23))
    routes$own <- rnorm(nrow(routes), 0, 0.12)
    rows <- list()
    prior <- 0
    for (season in 1:3) {
        class <- ifelse(substr(routes$route, 1, 1) == "a" | (substr(routes$route, 1, 1) == "b" & season == 3) |
            (routes$route == "c1" & season == 2), "acetate", "chloride")
        for (storm in 1:12) {
            need <- rnorm(1, log(330), 0.4)
            experience <- paste(prior + sample.int(3, 4, TRUE), collapse = ";")
            prior <- prior + 1
            for (i in seq_len(nrow(routes))) {
                more <- if (class[i] == "acetate") log(1.35) - 0.09 * log2(1 + prior) else 0
                zero <- runif(1) < if (storm %in% c(4, 9)) 0.75 else 0.02
                pounds <- if (zero) 0 else routes$length[i] * exp(need + more + routes$own[i] + rnorm(1, 0, 0.15))
                treated <- if (zero) 0 else pounds / (210 + 20 * (class[i] == "acetate"))
                regain <- if (runif(1) < 0.2) NA else max(0, round(rnorm(1, 5, 2) + 0.2 * (class[i] == "acetate"), 1))
                rows[[length(rows) + 1]] <- data.frame(season = paste0(2026 + season, "-", 27 + season),
                    storm = sprintf("d-%d%02d10", 2026 + season + (storm > 6), (storm + 5) %% 12 + 1), zone = routes$zone[i], route = routes$route[i],
                    class = class[i], lane_miles = routes$length[i], applied_lb = round(pounds, 2), treated_lane_mi = round(treated, 3),
                    regain_h = regain, left_out = if (runif(1) < 0.03) "mixed" else "", prior_storms = experience)
            }
        }
    }
    do.call(rbind, rows)
}

write.csv(invent_seasons(20260), file.path("data", "comparison.csv"), row.names = FALSE, quote = FALSE, na = "")
