package rows

import (
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"time"
)

// Change is a row of since_last_night: a past figure that moved between the last release and this one, as text. Column storm stands for a
// storm that appeared or vanished, with its begin for a figure. Cause names the deliveries or reference tables behind it.
type Change struct {
	Export        string  `db:"export"`
	StormID       string  `db:"storm_id"`
	ZoneID        string  `db:"zone_id"`
	RouteID       string  `db:"route_id"`
	MaterialClass string  `db:"material_class"`
	Form          string  `db:"form"`
	Column        string  `db:"column"`
	Before        *string `db:"before"`
	After         *string `db:"after"`
	Cause         string  `db:"cause"`
}

// GateCause is a row of gate_causes: one reason why a night's figures may not take the place of the last. Its hash names it from night to
// night. Kind, found and remedy are its words in US units; a line of another version may have these alone.
type GateCause struct {
	Hash    string `json:"hash" db:"hash"`
	Kind    string `json:"kind" db:"kind"`
	Subject string `json:"subject" db:"subject"`
	Found   string `json:"found" db:"found"`
	Remedy  string `json:"remedy" db:"remedy"`
	Finding `json:"cause,omitzero"`
}

// Worded fills in the words of the cause's code, and the hash of kind and subject.
func (c GateCause) Worded() GateCause {
	c.Kind, c.Found, c.Remedy = c.Finding.Kind(), c.Sentence(US{}), words[c.Code].remedy
	sum := sha256.Sum256([]byte(c.Kind + "|" + c.Subject))
	c.Hash = hex.EncodeToString(sum[:])[:12]
	return c
}

// FoundIn is what was found in the units of w, or as a line of another version says it.
func (c GateCause) FoundIn(w Writer) string { return cmp.Or(c.Sentence(w), c.Found) }

// Acceptance is a row of accepted_gates: a cause that held a release up, and the reason for which a person let it pass.
type Acceptance struct {
	AcceptedAt time.Time `json:"accepted_at" db:"accepted_at"`
	Reason     string    `json:"reason" db:"reason"`
	GateCause
}
