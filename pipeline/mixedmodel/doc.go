// Package mixedmodel fits linear mixed models by restricted maximum likelihood (REML).
//
// The model, for n rows, p fixed covariates and components k = 1..K of random effects:
//
//	y = X b + sum over k of Z_k u_k + e,   u_k ~ N(0, sd_k^2 I),   e ~ N(0, sigma^2 I), all independent.
//
// Component k is a random intercept per level of a grouping factor (each row of Z_k holds a single 1) or a random slope of a
// covariate per level of a factor (a single covariate value). The factors may be crossed, nested or unbalanced; there may be
// none, and then the fit is ordinary least squares by Householder QR.
//
// With theta_k = sd_k / sigma >= 0, Lambda = diag(theta) and spherical effects v = u / theta, the profiled criterion is
//
//	d(theta) = log|Lambda Z'Z Lambda + I| + log|X'V^-1 X| + (n - p) (1 + log(2 pi r2(theta) / (n - p)))
//
// with V = I + Z Lambda^2 Z' and r2 the penalised residual sum of squares: Bates, Maechler, Bolker and Walker (2015), Fitting
// Linear Mixed-Effects Models Using lme4, Journal of Statistical Software 67(1), equations 39 to 42. Its derivatives, the
// variances of b, the prediction error variances of (b, u) and Satterthwaite's degrees of freedom all come from the inverse C
// of the mixed-model equations (Henderson 1975, Biometrics 31; Johnson and Thompson 1995, Journal of Dairy Science 78):
//
//	[Lambda Z'Z Lambda + I   Lambda Z'X]
//	[X'Z Lambda              X'X       ]
//
// What comes in is checked first; a design that cannot answer is a *Fault that says which column or factor and why. What
// comes out holds finite numbers only. The same input gives the same bits on the same architecture.
package mixedmodel
