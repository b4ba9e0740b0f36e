# Acetate beside salt: the four questions on the demo's rows and on two drawn districts, by lme4 and lmerTest. The inputs
# data/beside_*.csv hold plain columns, written by the Go tests; everything else, centring and contrasts, is done here from the definition.
# Usage: Rscript beside.R RESULT_FOLDER, in this folder.
source("common.R")

terms_of <- function(question) {
    random <- c(storm = "(1 | storm)", storm_class = "(1 | storm_class)", route = "(1 | route)", acetate_route = "(0 + acetate | route)")
    if (question == "rate") random <- c(random, crew = "(1 | crew)", slope_crew = "(0 + acetate_x | crew)")
    random
}

component_names <- function(fit) {
    cnms <- getME(fit, "cnms")
    groups <- sub("\\.\\d+$", "", names(cnms))
    mapply(function(variable, group) switch(variable, acetate = "acetate_route", acetate_x = "slope_crew", group), unlist(cnms), groups)
}

# A component estimated as 0 is taken out and the model refitted without it.
refit <- function(fixed, terms, data) {
    repeat {
        fit <- lmer(as.formula(paste("ln_y ~", paste(fixed, collapse = " + "), "+", paste(terms, collapse = " + "))), data, REML = TRUE,
            control = control)
        theta <- getME(fit, "theta")
        if (all(theta > 1e-4)) return(fit)
        terms <- terms[!(names(terms) %in% component_names(fit)[theta <= 1e-4])]
    }
}

contrast <- function(fit, weights) {
    row <- setNames(rep(0, length(fixef(fit))), names(fixef(fit)))
    row[names(weights)] <- weights
    test <- contest1D(fit, row)
    list(value = test[["Estimate"]], se = test[["Std. Error"]], df = test[["df"]])
}

question <- function(rows, name, latest_x) {
    data <- rows[rows$question == name & !is.na(rows$y) & rows$y > 0 & !is.na(rows$x), ]
    acetate <- data$acetate == 1
    data$ln_y <- log(data$y)
    data$storm_class <- paste(data$storm, data$acetate)
    data$cold <- pmax(0, 25 - data$air_f_mean)
    data$acetate_x <- data$acetate * data$x
    data$acetate_air <- data$acetate * (data$air_f_mean - mean(data$air_f_mean[acetate]))
    data$acetate_cold <- data$acetate * (data$cold - mean(data$cold[acetate]))
    last <- acetate & data$season == max(data$season)
    season <- colMeans(data[last, c("acetate", "acetate_x", "acetate_air", "acetate_cold")])
    for (column in c("air_f_mean", "intensity", "freezing")) data[[column]] <- data[[column]] - mean(data[[column]])
    fixed <- c("acetate", "w", "acetate_x", "acetate_air", "acetate_cold", "air_f_mean", "intensity", "freezing")
    fit <- refit(fixed, terms_of(name), data)
    list(rows = nrow(data), criterion = as.numeric(REMLcrit(fit)), sigma = sigma(fit), coefficients = as.list(fixef(fit)[fixed]),
        sd = as.list(setNames(getME(fit, "theta") * sigma(fit), component_names(fit))),
        start = contrast(fit, c(acetate = 1)), season = contrast(fit, season),
        latest = contrast(fit, c(acetate = 1, acetate_x = latest_x)), net = contrast(fit, c(acetate_x = 1)))
}

district <- function(name) {
    rows <- read.csv(file.path("data", paste0("beside_", name, ".csv")), colClasses = c(season = "character", storm = "character",
        route = "character", crew = "character"))
    rates <- rows[rows$question == "rate" & rows$acetate == 1, ]
    latest_x <- median(vapply(split(rates$x, rates$crew), max, 0))
    questions <- c("rate", "applications", "pounds", "hours")
    c(list(latest_x = latest_x), setNames(lapply(questions, function(one) question(rows, one, latest_x)), questions))
}

write_result(list(demo = district("demo"), drawn_1 = district("drawn_1"), drawn_2 = district("drawn_2")), "beside")
