# Prediction error variances of combinations of b and u, solved densely from the mixed-model equations (Henderson 1975) at the
# REML estimates, and Satterthwaite's degrees of freedom with numerical derivatives (numDeriv) of dense functions: nothing of
# the method is shared with the program.
# Usage: Rscript prediction.R RESULT_FOLDER, in this folder.
source("common.R")

dense_case <- function(file, response, fixed, random, combinations) {
    data <- read.csv(file.path("data", paste0(file, ".csv")))
    y <- data[[response]]
    X <- do.call(cbind, c(list(rep(1, nrow(data))), unname(data[fixed])))
    blocks <- lapply(random, function(part) {
        level <- factor(data[[part$factor]], levels = 0:max(data[[part$factor]]))
        model.matrix(~ 0 + level) * (if (is.null(part$slope)) 1 else data[[part$slope]])
    })
    sizes <- vapply(blocks, ncol, 0L)
    Z <- do.call(cbind, blocks)
    n <- nrow(X); p <- ncol(X)
    deviance <- function(par) { # par: theta of every block, sigma
        theta <- par[-length(par)]; s2 <- par[length(par)]^2
        V <- s2 * (diag(n) + Z %*% (rep(theta^2, sizes) * t(Z)))
        R <- chol(V)
        Xr <- backsolve(R, X, transpose = TRUE); yr <- backsolve(R, y, transpose = TRUE)
        S <- chol(crossprod(Xr))
        rest <- yr - Xr %*% backsolve(S, backsolve(S, crossprod(Xr, yr), transpose = TRUE))
        (n - p) * log(2 * pi) + 2 * sum(log(diag(R))) + 2 * sum(log(diag(S))) + sum(rest^2)
    }
    equations <- function(theta) {
        rbind(cbind(crossprod(X), crossprod(X, Z)), cbind(crossprod(Z, X), crossprod(Z) + diag(rep(1 / theta^2, sizes))))
    }
    profile <- function(theta) { # sigma profiled out
        s2 <- profile_variance(theta)
        deviance(c(theta, sqrt(s2)))
    }
    profile_variance <- function(theta) {
        solution <- solve(equations(theta), c(crossprod(X, y), crossprod(Z, y)))
        rest <- y - X %*% solution[1:p] - Z %*% solution[-(1:p)]
        (sum(rest^2) + sum(solution[-(1:p)]^2 / rep(theta^2, sizes))) / (n - p)
    }
    theta <- nlminb(rep(0.5, length(sizes)), profile, lower = 1e-3, control = list(rel.tol = 1e-14))$par
    for (step in 1:3) theta <- theta - solve(hessian(profile, theta), grad(profile, theta))
    sigma <- sqrt(profile_variance(theta))
    C <- solve(equations(theta))
    solution <- C %*% c(crossprod(X, y), crossprod(Z, y))
    L <- t(vapply(combinations, function(one) {
        row <- c(one$fixed, rep(0, sum(sizes)))
        for (term in one$random) {
            at <- p + sum(sizes[seq_len(term$component)]) + term$level + 1
            row[at] <- row[at] + term$weight
        }
        row
    }, numeric(p + sum(sizes))))
    A <- 2 * solve(hessian(deviance, c(theta, sigma)))
    df <- apply(L, 1, function(row) {
        variance <- function(par) par[length(par)]^2 * drop(row %*% solve(equations(par[-length(par)]), row))
        g <- grad(variance, c(theta, sigma))
        2 * variance(c(theta, sigma))^2 / drop(g %*% A %*% g)
    })
    list(file = file, response = response, fixed = fixed, random = random, sd = theta * sigma, sigma = sigma,
        combinations = combinations, values = drop(L %*% solution), covariance = sigma^2 * L %*% C %*% t(L), df = df)
}

term <- function(component, level, weight = 1) list(component = component, level = level, weight = weight) # counted from 0
combination <- function(fixed, ...) list(fixed = fixed, random = list(...))

result <- list(
    dyestuff = dense_case("dyestuff", "yield", character(), list(list(factor = "batch")),
        list(combination(1), combination(1, term(0, 0)), combination(0, term(0, 4)), combination(0, term(0, 1), term(0, 2, -1)))),
    sleepstudy = dense_case("sleepstudy", "reaction", "days", list(list(factor = "subject"), list(factor = "subject", slope = "days")),
        list(combination(c(1, 0), term(0, 3)), combination(c(0, 1), term(1, 3)), combination(c(1, 5), term(0, 8), term(1, 8, 5)),
            combination(c(0, 1)), combination(c(0, 0), term(1, 10)))),
    crossed_1 = dense_case("crossed_1", "ln_rate", c("x", "air", "intensity", "freezing"),
        list(list(factor = "storm"), list(factor = "route"), list(factor = "crew"), list(factor = "crew", slope = "x")),
        list(combination(c(1, 0, 0, 0, 0), term(2, 0)), combination(c(0, 1, 0, 0, 0), term(3, 0)),
            combination(c(1, 4, 0, 0, 0), term(2, 5), term(3, 5, 4)), combination(c(0, 0, 0, 0, 0), term(3, 2)),
            combination(c(1, 3, 0, 0, 0)))))
# jsonlite writes a vector of length one as a number; the readers of this file want arrays.
arrays <- function(case) {
    case$fixed <- as.list(case$fixed); case$sd <- as.list(case$sd)
    case$combinations <- lapply(case$combinations, function(one) list(fixed = as.list(one$fixed), random = one$random))
    case
}
write_result(lapply(result, arrays), "prediction")
