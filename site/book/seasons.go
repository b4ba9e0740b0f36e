package book

import (
	"slices"
	"strings"

	"lanetally/site/format"
)

// MostRows bounds the rows of quarantine and findings that the data page writes out; the files hold them all.
const MostRows = 500

// IsPublished tells whether the caller puts a file into data/.
func (b *Book) IsPublished(name string) bool {
	return name != "" && !strings.ContainsAny(name, `/\`) && slices.Contains(b.Data.Downloads, name)
}

// LatestSeason is the last of Seasons, "" without any.
func (b *Book) LatestSeason() string {
	if len(b.Seasons) == 0 {
		return ""
	}
	return b.Seasons[len(b.Seasons)-1]
}

// SeasonBefore is the one of Seasons before a season, "" where there is none.
func (b *Book) SeasonBefore(season string) string {
	if at := slices.Index(b.Seasons, season); at > 0 {
		return b.Seasons[at-1]
	}
	return ""
}

// SeasonFile is where a season's page stands: the latest one is the front page.
func (b *Book) SeasonFile(season string) string {
	if season == b.LatestSeason() {
		return "index.html"
	}
	return "seasons/" + format.FileName(season) + ".html"
}

// StormHref leads to a storm's page, "" where the storm is not listed.
func (b *Book) StormHref(root, stormID string) string {
	if b.EventByID[stormID] == nil {
		return ""
	}
	return root + "storms/" + format.FileName(stormID) + ".html"
}
