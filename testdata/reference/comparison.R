# The season rows of the comparison, from data/comparison.csv, written out in R: jackknife of the log of a ratio of sums, two one-sided
# tests, geometric mean by t.test, the line by lm and predict, differences in regain by t.test, differences in differences.
# Rscript comparison.R FOLDER
suppressPackageStartupMessages(library(jsonlite))
source("common.R")

rows <- read.csv("data/comparison.csv", colClasses = c(left_out = "character", prior_storms = "character"))
minimum <- 5
same_margin <- 0.10
regain_margin <- 1

# A storm and zone is compared when routes of both classes count and neither class lost over a tenth of its lane-miles.
key <- paste(rows$storm, rows$zone)
compared <- vapply(split(rows, key), function(part) {
    all(vapply(c("acetate", "chloride"), function(class) {
        own <- part[part$class == class, ]
        any(own$left_out == "") && 10 * sum(own$lane_miles[own$left_out != ""]) <= sum(own$lane_miles)
    }, TRUE))
}, TRUE)
kept <- rows[compared[key] & rows$left_out == "", ]

log_ratio <- function(part, column) {
    side <- function(class) {
        own <- part[part$class == class, ]
        sum(own[[column]]) / sum(own$lane_miles)
    }
    log(side("acetate")) - log(side("chloride"))
}

jackknife_se <- function(values) sqrt((length(values) - 1) / length(values) * sum((values - mean(values))^2))

total <- function(part, column) {
    storms <- unique(part$storm)
    whole <- log_ratio(part, column)
    se <- jackknife_se(vapply(storms, function(storm) log_ratio(part[part$storm != storm, ], column), 0))
    df <- length(storms) - 1
    margin <- log(1 + same_margin)
    list(ratio = exp(whole), low = exp(whole - qt(0.95, df) * se), high = exp(whole + qt(0.95, df) * se),
        p = max(pt((whole + margin) / se, df, lower.tail = FALSE), pt((whole - margin) / se, df)))
}

# One value per storm: the mean over its zones of what each zone gives.
by_storm <- function(part, value) {
    result <- vapply(unique(part$storm), function(storm) {
        own <- part[part$storm == storm, ]
        mean(vapply(unique(own$zone), function(zone) value(own[own$zone == zone, ]), 0), na.rm = TRUE)
    }, 0)
    result[!is.nan(result)]
}

storm_log_ratio <- function(part) {
    value <- log_ratio(part, "applied_lb")
    if (is.finite(value)) value else NA
}

regain_difference <- function(part) {
    side <- function(class) {
        own <- part[part$class == class & !is.na(part$regain_h), ]
        sum(own$regain_h * own$lane_miles) / sum(own$lane_miles)
    }
    side("acetate") - side("chloride")
}

zero_storms <- function(part, class) {
    own <- part[part$class == class, ]
    sum(tapply(own$applied_lb, own$storm, sum) == 0)
}

adjusted <- function(season) {
    past <- rows[rows$season <= season, ]
    history <- tapply(past$class, list(past$route, past$season), function(class) paste(unique(class), collapse = "+"))
    control <- rownames(history)[apply(history == "chloride", 1, all)]
    turned <- rownames(history)[apply(history, 1, function(class) {
        n <- sum(class == "chloride")
        n >= 1 && n < length(class) && all(class == rep(c("chloride", "acetate"), c(n, length(class) - n)))
    })]
    ours <- past[past$route %in% control, ]
    whole <- vapply(split(ours, paste(ours$storm, ours$zone)), function(part)
        any(part$left_out == "") && 10 * sum(part$lane_miles[part$left_out != ""]) <= sum(part$lane_miles), TRUE)
    usable <- past[past$left_out == "" & whole[paste(past$storm, past$zone)], ]
    beside <- function(route, seasons, skip) {
        own <- usable[usable$route == route & usable$season %in% seasons & !(usable$storm %in% skip), ]
        same <- usable[usable$route %in% control & paste(usable$storm, usable$zone) %in% paste(own$storm, own$zone), ]
        log(sum(own$applied_lb) / sum(own$lane_miles)) - log(sum(same$applied_lb) / sum(same$lane_miles))
    }
    seasons_before <- lapply(turned, function(route) {
        own <- usable[usable$route == route & usable$class == "chloride", ]
        counts <- tapply(own$storm, own$season, function(storm) length(unique(storm)))
        names(counts)[counts >= minimum]
    })
    if (length(turned) == 0) return(list(routes = 0, seasons = 0))
    change <- function(skip = character()) vapply(seq_along(turned), function(i)
        beside(turned[i], season, skip) - beside(turned[i], seasons_before[[i]], skip), 0)
    storms <- function(wanted) unique(usable$storm[usable$route %in% turned & usable$season %in% wanted])
    se_of <- function(wanted) jackknife_se(vapply(storms(wanted), function(storm) mean(change(storm)), 0))
    changes <- change()
    se_storm <- sqrt(se_of(season)^2 + se_of(unique(unlist(seasons_before)))^2)
    k <- length(changes)
    if (k < 3) return(list(ratio = exp(mean(changes)), routes = k, seasons = length(unique(unlist(seasons_before)))))
    se <- max(se_storm, sd(changes) / sqrt(k))
    list(ratio = exp(mean(changes)), low = exp(mean(changes) - qt(0.95, k - 1) * se), high = exp(mean(changes) + qt(0.95, k - 1) * se),
        routes = k, seasons = length(unique(unlist(seasons_before))), se_storm = se_storm, se_route = sd(changes) / sqrt(k))
}

exponential <- function(test) list(ratio = unname(exp(test$estimate)), low = exp(test$conf.int[1]), high = exp(test$conf.int[2]))

season_row <- function(season) {
    part <- kept[kept$season == season, ]
    ratios <- by_storm(part, storm_log_ratio)
    first <- function(storm) part$prior_storms[match(storm, part$storm)]
    x <- vapply(names(ratios), function(storm) log2(1 + mean(as.numeric(strsplit(first(storm), ";")[[1]]))), 0)
    end <- predict(lm(y ~ x, data.frame(x = x, y = ratios)), data.frame(x = tail(x, 1)), interval = "confidence", level = 0.90)
    hours <- t.test(by_storm(part, regain_difference), conf.level = 0.90)
    list(season = season, storms = length(unique(part$storm)), total = total(part, "applied_lb"), applications = total(part, "treated_lane_mi"),
        typical = exponential(t.test(ratios, conf.level = 0.90)), zero_acetate = zero_storms(part, "acetate"), zero_chloride = zero_storms(part, "chloride"),
        end = list(ratio = exp(end[1, "fit"]), low = exp(end[1, "lwr"]), high = exp(end[1, "upr"])),
        regain = list(hours = unname(hours$estimate), low = hours$conf.int[1], high = hours$conf.int[2]),
        adjusted = adjusted(season))
}

write_result(lapply(sort(unique(rows$season)), season_row), "comparison")
