// Package crumbs keeps accepted vehicle positions (breadcrumbs) in Parquet files, so that they need not be in the database, and tells what
// became of each: accepted, duplicate or correction.
//
// A position lies with its trace (package trace), and a trace in the file of the UTC day of its first position:
// season=2029-30/month=2030-01/2030-01-14.parquet, sorted by truck, time and order of delivery. Rows that do not count, duplicates and
// those corrected since, are kept too, so that taking a delivery away brings back what it had replaced.
//
// Rows that come are collected in Arrivals, which spill to the disk. Apply goes through the days that a change touches, truck by truck, so
// that memory is that of one truck and of a batch of each file, whatever the size. It builds the traces that the change touches, no others,
// and writes the files that change: whatever the deliveries were split into and in whatever order they came, files and traces are the same.
//
// Files change all together: new ones are written beside, a list of what is to be done (change.json) makes the change good, then each file
// is renamed. A run that was killed is mended by Open; the same change applied again changes nothing.
package crumbs
