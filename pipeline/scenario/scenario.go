// Package scenario writes the demo district: two winters of an invented road district, and the truth behind them.
//
// What comes in: a folder that is absent or empty, and a seed. What goes out: district.toml, reference/*, inbox/<feed>/*
// and truth.json, byte for byte the same for the same seed. Chance comes from math/rand/v2's PCG alone; no clock, no
// order of a map. Killed in the middle, the folder is left half written and is not empty: delete it and begin again.
//
// The flow: calendar -> weather -> storms -> passes and loads -> road states -> stock -> deliveries -> damage -> files.
package scenario

import (
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"time"
	_ "time/tzdata" // the district's clock changes, on a machine without a tz database too

	"lanetally/pipeline/scenario/land"
)

// DefaultSeed is the seed of the demo that the documents show.
const DefaultSeed uint64 = 20290211

// Options are the choices of the demo district. Seed 0 means DefaultSeed. With SheetsOnly the zone whose trucks deliver positions writes
// pass sheets of the same passes instead.
type Options struct {
	Seed       uint64
	SheetsOnly bool
}

// ErrNotEmpty says that the folder to write to holds something.
var ErrNotEmpty = errors.New("is not empty; name a folder that is new or empty")

// Write writes the demo district into dir, which must be absent or empty (else ErrNotEmpty), and returns what was planted.
func Write(dir string, opt Options) (Truth, error) {
	if opt.Seed == 0 {
		opt.Seed = DefaultSeed
	}
	if err := mustBeEmpty(dir); err != nil {
		return Truth{}, err
	}
	place, err := time.LoadLocation(land.TimeZone)
	if err != nil {
		return Truth{}, fmt.Errorf("demo district: %w", err)
	}
	s, err := invent(opt, place)
	if err != nil {
		return Truth{}, err
	}
	if err := s.write(dir); err != nil {
		return Truth{}, fmt.Errorf("write demo district: %w", err)
	}
	return s.truth, nil
}

func mustBeEmpty(dir string) error {
	entries, err := os.ReadDir(dir)
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err != nil {
		return fmt.Errorf("write demo district: %w", err)
	}
	if len(entries) > 0 {
		return fmt.Errorf("write demo district: %q %w", dir, ErrNotEmpty)
	}
	return nil
}

// district is everything that will be written.
type district struct {
	seed       uint64
	place      *time.Location
	asOf       time.Time
	storms     []land.Storm
	flurries   [2]int
	sensors    []SensorTruth
	stations   [2][][]land.Report
	winter     *winter
	harbor     *harbor
	positions  *PositionsTruth // nil where all zones write sheets
	deliveries []*delivery
	truth      Truth
}

// invent makes the district in memory.
func invent(opt Options, place *time.Location) (*district, error) {
	seed := opt.Seed
	s := &district{seed: seed, place: place}
	events := land.PlanEvents(seed, place)
	for season := range land.Spans {
		s.stations[season] = land.Observe(seed, events, season, place)
		harborReports := land.Mirror(s.stations[season][land.ZoneIndex("plain")])
		s.sensors = append(s.sensors, breakSensors(seed, season, s.stations[season])...)
		s.stations[season] = append(s.stations[season], harborReports)
	}
	for _, reports := range s.stations[1] {
		if last := reports[len(reports)-1].At; last.After(s.asOf) {
			s.asOf = last
		}
	}
	for season := range land.Spans {
		storms, flurries := land.FindStorms(season, s.stations[season], events, s.asOf, place)
		s.storms, s.flurries[season] = append(s.storms, storms...), flurries
	}
	planned := 0
	for _, e := range events {
		if e.IsStorm() {
			planned++
		}
	}
	if len(s.storms) != planned {
		return nil, fmt.Errorf("demo district: seed %d plans %d storms and its weather makes %d; take another seed", seed, planned,
			len(s.storms))
	}
	s.winter = workWinters(seed, s.storms, s.stations, s.asOf, place)
	s.harbor = workHarbor(seed, s.storms, s.winter.effects, s.asOf)
	if !opt.SheetsOnly {
		s.positions = s.tellPositions()
	}
	if err := s.deliver(); err != nil {
		return nil, err
	}
	s.truth = s.tell()
	return s, nil
}

// deliver makes the inbox's files, breaks some rows and sends one file twice.
func (s *district) deliver() error {
	for season := range land.Spans {
		files, err := weatherDeliveries(s.stations[season])
		if err != nil {
			return err
		}
		s.deliveries = append(s.deliveries, files...)
	}
	tickets := s.winter.boxes.numbered("W", s.asOf)
	s.deliveries = append(s.deliveries, passDeliveries(s.winter)...)
	s.deliveries = append(s.deliveries, ticketDeliveries(tickets, s.place)...)
	s.deliveries = append(s.deliveries, conditionDeliveries(patrol(s.seed, s.storms, s.asOf), s.place)...)
	stock := append(keepStock(s.seed, "stock", land.SheetPiles, tickets, s.asOf, s.place), s.deliverHarbor()...)
	s.deliveries = append(s.deliveries, stockDeliveries(stock, s.asOf, s.place)...)
	if err := damage(s.seed, s.deliveries); err != nil {
		return err
	}
	at := slices.IndexFunc(s.deliveries, func(f *delivery) bool { return f.name == repeatedFile })
	if at < 0 {
		return fmt.Errorf("demo district: no delivery %q to repeat", repeatedFile)
	}
	twin := *s.deliveries[at]
	twin.name, twin.sameAs = repeatedAs, repeatedFile
	s.deliveries = append(s.deliveries, &twin)
	return nil
}

// The file sent twice: the second name sorts after the first.
const (
	repeatedFile = "passes-2028-01-plain.csv"
	repeatedAs   = "passes-2028-01-plain_again.csv"
)

func (s *district) write(dir string) error {
	if err := writeReference(dir, s.seed); err != nil {
		return err
	}
	for _, f := range s.deliveries {
		if err := f.write(dir); err != nil {
			return err
		}
	}
	told, err := json.MarshalIndent(s.truth, "", "  ")
	if err != nil {
		return err
	}
	return writeFile(filepath.Join(dir, "truth.json"), append(told, '\n'))
}
