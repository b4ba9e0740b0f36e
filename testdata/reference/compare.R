# Compares two folders of results number by number: Rscript compare.R COMMITTED RERUN. Differences above 1e-6 relative, 1e-4 for standard deviations and effects (of the
# larger of the number and 1e-3: effects of a factor whose variance is nearly 0 are noise below that) are printed and end with status 1. For another version of R's packages or another processor.
suppressPackageStartupMessages(library(jsonlite))

folders <- commandArgs(TRUE)
faults <- 0
for (name in c("mixed", "prediction", "statistics", "learning", "comparison")) {
    parts <- lapply(folders, function(folder) {
        unlist(fromJSON(file.path(folder, paste0(name, ".json")), simplifyVector = FALSE))
    })
    if (!identical(names(parts[[1]]), names(parts[[2]]))) {
        cat(name, ": the results do not hold the same entries\n", sep = "")
        faults <- faults + 1
        next
    }
    numbers <- suppressWarnings(lapply(parts, as.numeric))
    both <- !is.na(numbers[[1]])
    words <- parts[[1]] == parts[[2]]
    size <- pmax(abs(numbers[[1]]), abs(numbers[[2]]), 1e-3)
    # A small standard deviation lies in a flat part of the criterion, and the effects follow it: lme4 itself repeats them to 1e-5.
    tolerance <- ifelse(grepl("[.](sd|effects)[.]", names(parts[[1]])), 1e-4, 1e-6)
    wrong <- which(ifelse(both, is.na(numbers[[2]]) | abs(numbers[[1]] - numbers[[2]]) > tolerance * size, !words))
    for (i in wrong) cat(name, ": ", names(parts[[1]])[i], ": committed ", parts[[1]][i], ", rerun ", parts[[2]][i], "\n", sep = "")
    faults <- faults + length(wrong)
    cat(name, ": ", length(both), " entries, ", length(wrong), " differ\n", sep = "")
}
if (faults > 0) quit(status = 1)
