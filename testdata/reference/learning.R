# The learning curve of three invented districts, by lme4 and lmerTest, and the crews' own curves with prediction error variances solved densely from the mixed-model equations.
# The inputs data/learning_*.csv are drawn by the Go tests of pipeline (test flag -update); covariates are centred here.
# Usage: Rscript learning.R RESULT_FOLDER, in this folder.
source("common.R")

covariates <- c("air_f_mean", "intensity", "freezing")
random_terms <- c(storm = "(1 | storm)", crew = "(1 | crew)", route = "(1 | route)", slope_crew = "(0 + x | crew)")

# A component estimated as 0 is taken out and the model refitted without it.
refit <- function(fixed, terms, data) {
    repeat {
        fit <- lmer(as.formula(paste(fixed, "+", paste(terms, collapse = " + "))), data, REML = TRUE, control = control)
        theta <- getME(fit, "theta")
        if (all(theta > 1e-4)) return(list(fit = fit, terms = terms))
        cnms <- getME(fit, "cnms")
        groups <- sub("\\.\\d+$", "", names(cnms))
        names_found <- ifelse(vapply(cnms, identical, TRUE, "(Intercept)"), groups, "slope_crew")
        terms <- terms[!(names(terms) %in% names_found[theta <= 1e-4])]
    }
}

deviations <- function(fit, wanted) {
    table <- as.data.frame(VarCorr(fit))
    sd <- setNames(as.list(rep(0, length(wanted))), wanted)
    for (i in seq_len(nrow(table))) {
        if (table$grp[i] == "Residual") next
        name <- if (table$var1[i] == "x") "slope_crew" else sub("\\.\\d+$", "", table$grp[i])
        sd[[name]] <- table$sdcor[i]
    }
    sd
}

# Estimate, standard error, degrees of freedom of a combination of fixed coefficients, by name.
contrast <- function(fit, weights) {
    row <- setNames(rep(0, length(fixef(fit))), names(fixef(fit)))
    row[names(weights)] <- weights
    test <- contest1D(fit, row)
    list(value = test[["Estimate"]], se = test[["Std. Error"]], df = test[["df"]])
}

# b0 + crew and b1 + slope_crew of every crew, and the standard errors of prediction: Henderson's equations, dense.
crews_of <- function(fit) {
    X <- getME(fit, "X"); Z <- as.matrix(getME(fit, "Z")); y <- getME(fit, "y")
    flist <- getME(fit, "flist"); cnms <- getME(fit, "cnms"); Gp <- getME(fit, "Gp")
    theta <- getME(fit, "theta")
    weight <- unlist(lapply(seq_along(theta), function(k) rep(1 / theta[k]^2, Gp[k + 1] - Gp[k])))
    C <- solve(rbind(cbind(crossprod(X), crossprod(X, Z)), cbind(crossprod(Z, X), crossprod(Z) + diag(weight))))
    solution <- drop(C %*% c(crossprod(X, y), crossprod(Z, y)))
    lapply(levels(model.frame(fit)$crew), function(label) {
        row <- function(column, slope) {
            r <- rep(0, length(solution)); r[match(column, colnames(X))] <- 1
            for (k in seq_along(theta)) {
                group <- flist[[sub("\\.\\d+$", "", names(cnms)[k])]]
                is_slope <- !identical(cnms[[k]], "(Intercept)")
                if (identical(levels(group), levels(model.frame(fit)$crew)) && is_slope == slope)
                    r[ncol(X) + Gp[k] + match(label, levels(group))] <- 1
            }
            list(value = sum(r * solution), se = sigma(fit) * sqrt(drop(r %*% C %*% r)))
        }
        list(crew = label, start = row("(Intercept)", FALSE), change = row("x", TRUE))
    })
}

read_rows <- function(name) {
    data <- read.csv(file.path("data", paste0(name, ".csv")))
    for (column in covariates) data[[column]] <- data[[column]] - mean(data[[column]])
    for (column in c("storm", "crew", "route")) if (column %in% names(data)) data[[column]] <- factor(data[[column]])
    data
}

with_covariates <- function(terms) paste(paste(terms, collapse = " + "), "+", paste(covariates, collapse = " + "))

district <- function(number) {
    curve_rows <- read_rows(paste0("learning_curve_", number))
    curve <- refit(with_covariates("ln_rate ~ x"), random_terms, curve_rows)$fit
    latest <- median(vapply(split(curve_rows$x, curve_rows$crew), max, 0))
    list(latest_x = latest,
        curve = list(criterion = as.numeric(REMLcrit(curve)), sigma = sigma(curve), sd = deviations(curve, names(random_terms)),
            start = contrast(curve, c("(Intercept)" = 1)), change = contrast(curve, c(x = 1)),
            latest = contrast(curve, c("(Intercept)" = 1, x = latest)), crews = crews_of(curve)))
}

write_result(list(district_1 = district(1), district_2 = district(2), district_3 = district(3)), "learning")
