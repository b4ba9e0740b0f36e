package rows

// Who is led to the pages of crews. The pages are a public record, and so are the files beside them.
const (
	CrewPagesAll  = "all"  // crews are listed, named and linked
	CrewPagesOwn  = "own"  // each crew's page has an address that nothing else on the site names; no other page names a crew
	CrewPagesNone = "none" // no crew has a page, no page names a crew
)

// AllCrews is the crew_id of rows that hold all crews together: of learning, and of the district as a whole.
const AllCrews = "all"

const (
	// FewestMembers is how many a crew must be for its figures to be shown: a figure of one or two is one of persons.
	FewestMembers = 3
	// FewestCrews is how many crews with figures it takes to set them side by side: of two, each would know the other's.
	FewestCrews = 3
)

// ShowsFigures tells whether a crew is large enough for figures of its own; one of unknown size is not.
func (c Crew) ShowsFigures() bool { return c.Members != nil && *c.Members >= FewestMembers }

// Withheld says of a row that figures of it are not public: they would tell those of a crew too small for figures. Only what is public of a
// table has the column.
type Withheld struct {
	IsWithheld bool `db:"is_withheld"`
}

// LacksFigures tells whether figures of the row are withheld.
func (w Withheld) LacksFigures() bool { return w.IsWithheld }

// Metric is the value of Data.Units for pages in metric units; any other means US units.
const Metric = "metric"
