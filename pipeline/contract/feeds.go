package contract

import "slices"

// CrumbsFeed is the feed of vehicle positions. Its usable rows never enter the ledger (crumbload.go).
const CrumbsFeed = "breadcrumbs"

// ReportsFeed is the feed whose deliveries may be raw reports.
const ReportsFeed = "weather"

// LoadedFeeds are the feeds of FeedNames, in the order of their names: the order in which deliveries are loaded.
var LoadedFeeds = slices.Sorted(slices.Values(FeedNames))

// IsLoadedFeed tells whether name is one of LoadedFeeds.
func IsLoadedFeed(name string) bool { return slices.Contains(LoadedFeeds, name) }
