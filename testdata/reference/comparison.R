# The season rows of the comparison, from data/comparison.csv, written out in R: jackknife of the log of a ratio of sums,
# geometric mean by t.test, the line by lm and predict, differences in regain by t.test.
# Rscript comparison.R FOLDER
suppressPackageStartupMessages(library(jsonlite))
source("common.R")

rows <- read.csv("data/comparison.csv", colClasses = c(left_out = "character", prior_storms = "character"))

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
    list(ratio = exp(whole), low = exp(whole - qt(0.95, df) * se), high = exp(whole + qt(0.95, df) * se))
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
        regain = list(hours = unname(hours$estimate), low = hours$conf.int[1], high = hours$conf.int[2]))
}

write_result(lapply(sort(unique(rows$season)), season_row), "comparison")
