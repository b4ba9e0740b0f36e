// Package crumbs keeps accepted vehicle positions (breadcrumbs) in Parquet files, so that they need not be in the database, and tells what
// became of each: accepted, duplicate or correction.
//
// A position lies with its trace (package trace), and a trace in the file of the UTC day of its first position:
// season=2029-30/month=2030-01/2030-01-14.parquet, sorted by truck, time and order of delivery. Rows that do not count, duplicates and
// those corrected since, are kept too, so that taking a delivery away brings back what it had replaced.
//
// Apply adds and takes away rows and rebuilds the days they touch, no others: whatever the deliveries were split into and in whatever order
// they came, the files and the passes are the same. A file is replaced whole, by one rename; a run that was killed is mended by applying
// the same change again.
package crumbs
