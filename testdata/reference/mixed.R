# Fits of the mixed model with lme4 (criterion, estimates, predictions) and lmerTest (Satterthwaite's degrees of freedom).
# Usage: Rscript mixed.R RESULT_FOLDER, in this folder.
source("common.R")

# terms: named list, random term of the formula per component name. A component estimated as 0 is taken out and the model
# refitted without it; the result then names it with sd 0 and no effects.
reference <- function(file, fixed, terms) {
    data <- read.csv(file.path("data", paste0(file, ".csv")))
    for (name in intersect(c("subject", "batch", "storm", "route", "crew"), names(data))) data[[name]] <- factor(data[[name]])
    kept <- terms
    repeat {
        if (length(kept) == 0) return(plain(fixed, data, names(terms)))
        formula <- as.formula(paste(fixed, "+", paste(kept, collapse = " + ")))
        fit <- lmer(formula, data, REML = TRUE, control = control)
        theta <- getME(fit, "theta")
        if (all(theta > 1e-4)) break
        kept <- kept[sort(match_terms(fit, kept)[theta > 1e-4])]
    }
    summarise(fit, kept, names(terms))
}

# The order of lme4's theta in terms of ours.
match_terms <- function(fit, kept) {
    ours <- gsub("[() ]", "", vapply(kept, as.character, ""))
    cnms <- getME(fit, "cnms")
    groups <- sub("\\.\\d+$", "", names(cnms))
    keys <- paste0(ifelse(vapply(cnms, identical, TRUE, "(Intercept)"), "1", paste0("0+", unlist(cnms))), "|", groups)
    match(keys, ours)
}

summarise <- function(fit, kept, all_names) {
    table <- summary(fit, ddf = "Satterthwaite")$coefficients
    theta <- getME(fit, "theta")
    index <- match_terms(fit, kept)
    effects <- ranef(fit, condVar = TRUE)
    sd <- setNames(as.list(rep(0, length(all_names))), all_names)
    blup <- list()
    for (k in seq_along(index)) {
        name <- names(kept)[index[k]]
        sd[[name]] <- unname(theta[k]) * sigma(fit)
        cnms <- getME(fit, "cnms")
        group <- sub("\\.\\d+$", "", names(cnms)[k])
        column <- cnms[[k]]
        variances <- attr(effects[[group]], "postVar")
        columns <- colnames(effects[[group]])
        at <- match(column, columns)
        variance <- if (is.list(variances)) variances[[at]][1, 1, ] else variances[at, at, ]
        blup[[name]] <- list(value = effects[[group]][[column]], condition_sd = sqrt(as.vector(variance)))
    }
    list(criterion = as.numeric(REMLcrit(fit)), sigma = sigma(fit), sd = sd, fixed = unname(table[, "Estimate"]),
        fixed_se = unname(table[, "Std. Error"]), df = unname(table[, "df"]), effects = blup)
}

plain <- function(fixed, data, all_names) {
    fit <- lm(as.formula(fixed), data)
    table <- summary(fit)$coefficients
    list(criterion = -2 * as.numeric(logLik(fit, REML = TRUE)), sigma = sigma(fit),
        sd = setNames(as.list(rep(0, length(all_names))), all_names), fixed = unname(table[, 1]), fixed_se = unname(table[, 2]),
        df = rep(fit$df.residual, nrow(table)), effects = setNames(list(), character()))
}

crossed <- c(storm = "(1 | storm)", route = "(1 | route)", crew = "(1 | crew)", slope_crew = "(0 + x | crew)")
curve <- "ln_rate ~ x + air + intensity + freezing"
result <- list(
    sleepstudy_slope = reference("sleepstudy", "reaction ~ days", c(subject = "(1 | subject)", slope_subject = "(0 + days | subject)")),
    sleepstudy_intercept = reference("sleepstudy", "reaction ~ days", c(subject = "(1 | subject)")),
    dyestuff = reference("dyestuff", "yield ~ 1", c(batch = "(1 | batch)")),
    dyestuff2 = reference("dyestuff2", "yield ~ 1", c(batch = "(1 | batch)")),
    crossed_1 = reference("crossed_1", curve, crossed),
    crossed_2 = reference("crossed_2", curve, crossed),
    crossed_3 = reference("crossed_3", curve, crossed),
    demo_1 = reference("demo_1", curve, crossed),
    demo_2 = reference("demo_2", curve, crossed),
    demo_3 = reference("demo_3", curve, crossed))
write_result(result, "mixed")
