package pipeline

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lanetally/pipeline/contract"
	"lanetally/pipeline/district"
)

// Standard atomic weights, g/mol. Source: CRC Handbook of Chemistry and Physics, as rounded there.
const (
	massNa, massCl, massMg, massCa   = 22.98977, 35.453, 24.305, 40.078
	massK, massC, massH, massO       = 39.0983, 12.0107, 1.00794, 15.9994
	waterLbPerGal                    = 8.345404 // 1 g/mL in pounds per US gallon: 3785.411784 g / 453.59237 g
	massAcetate                      = 2*massC + 3*massH + 2*massO
	massWater                        = 2*massH + massO
	oxygenPerAcetate                 = 2 * 2 * massO // C2H3O2- + 2 O2 -> HCO3- + CO2 + H2O
	massCMA37                        = 0.3*massCa + 0.7*massMg + 2*massAcetate
	massCMA11                        = 0.5*massCa + 0.5*massMg + 2*massAcetate
	massKAcetate                     = massK + massAcetate
	massNaCl, massMgCl2, massCaCl2   = massNa + massCl, massMg + 2*massCl, massCa + 2*massCl
	massMgCl2Hydrate, massCaHydrate2 = massMgCl2 + 6*massWater, massCaCl2 + 2*massWater
)

// Computed from the atomic weights and the reaction above.
func TestMaterialFactsFromAtomicWeights(t *testing.T) {
	for name, c := range map[string][2]float64{
		"NaCl": {58.4428, massNaCl}, "MgCl2": {95.2110, massMgCl2}, "CaCl2": {110.9840, massCaCl2}, "K acetate": {98.1423, massKAcetate},
		"Ca acetate": {158.1660, massCa + 2*massAcetate}, "Mg acetate": {142.3930, massMg + 2*massAcetate},
		"CMA 3:7": {147.1249, massCMA37},
	} {
		assert.InDelta(t, c[0], c[1], 6e-5, name)
	}
	for name, c := range map[string][2]float64{
		"NaCl": {0.60663, massCl / massNaCl}, "MgCl2": {0.74472, 2 * massCl / massMgCl2},
		"MgCl2 6 H2O": {0.34877, 2 * massCl / massMgCl2Hydrate},
		"CaCl2":       {0.63888, 2 * massCl / massCaCl2}, "CaCl2 2 H2O": {0.48231, 2 * massCl / massCaHydrate2},
	} {
		assert.InDelta(t, c[0], c[1], 6e-6, "chloride fraction of %s", name)
	}
	for name, c := range map[string][2]float64{
		"CMA 3:7": {0.8700, 2 * oxygenPerAcetate / massCMA37}, "CMA 1:1": {0.8517, 2 * oxygenPerAcetate / massCMA11},
		"acetate": {1.0839, oxygenPerAcetate / massAcetate}, "K acetate": {0.6521, oxygenPerAcetate / massKAcetate},
	} {
		assert.InDelta(t, c[0], c[1], 6e-5, "oxygen demand of %s", name)
	}
}

// Brine: dry pounds in a gallon = strength x specific gravity x 8.345 lb. Specific gravity of 23.3 % salt brine 1.176 and of 32 % calcium
// chloride 1.322: FHWA-RD-95-202, Appendix A.
// Densities of salt brine at 20 C, 10 % 1.0707, 20 % 1.1478, 22 % 1.1640 g/mL: CRC Handbook; the gravity of 23.3 % lies on their line.
func TestBrineStrength(t *testing.T) {
	assert.InDelta(t, 8.345404, 3785.411784/453.59237, 5e-7)
	assert.InDelta(t, 2.285, 0.233*1.176*waterLbPerGal, 0.003)
	assert.InDelta(t, 3.53, 0.32*1.322*waterLbPerGal, 0.003)
	assert.InDelta(t, 2.53, 0.233/(1-0.233)*waterLbPerGal, 0.01, "per gallon of water added")
	slope := (1.1640 - 1.1478) / 2
	assert.InDelta(t, 1.176, 1.1640+1.3*slope, 0.003)
	assert.InDelta(t, (1.1478-1.0707)/10, slope, 0.0005, "density rises evenly with strength")
}

// The demo's materials.csv holds these figures: bulk densities 44 and 70 lb/ft3 (Common practice), chloride fraction and oxygen demand from
// the atomic weights, brine of 23.3 %.
func TestDemoMaterialsHoldTheFacts(t *testing.T) {
	materials := materialsOf(t, writeDemo(t))
	assert.InDelta(t, massCl/massNaCl, materials["salt"]["chloride_fraction"].Number, 6e-6)
	assert.InDelta(t, massCl/massNaCl, materials["brine"]["chloride_fraction"].Number, 6e-6)
	assert.InDelta(t, 0.233*1.176*waterLbPerGal, materials["brine"]["dry_lb_per_gal"].Number, 0.003)
	assert.InDelta(t, 2*oxygenPerAcetate/massCMA37, materials["cma"]["oxygen_demand_lb_per_lb"].Number, 6e-5)
	assert.InDelta(t, oxygenPerAcetate/massKAcetate, materials["ka50"]["oxygen_demand_lb_per_lb"].Number, 6e-5)
	assert.Equal(t, 70.0, materials["salt"]["bulk_density_lb_ft3"].Number)
	assert.Equal(t, 44.0, materials["cma"]["bulk_density_lb_ft3"].Number)
}

// materialsOf reads the rows of a district's materials.csv, by material_id.
func materialsOf(t *testing.T, dir string) map[string]cellsByName {
	t.Helper()
	settings, err := district.ReadSettings(filepath.Join(dir, "district.toml"))
	require.NoError(t, err)
	reference, err := district.ReadReference(dir, settings)
	require.NoError(t, err)
	require.Empty(t, reference.Warnings)
	materials := map[string]cellsByName{}
	for _, row := range cellsOf(reference, "materials") {
		materials[row["material_id"].Text] = row
	}
	return materials
}

// A new district's materials hold the same facts, each with its source: chloride fractions and oxygen demands from the atomic weights, dry
// pounds from the gravities above, and no value that only the maker or the district knows without a word that says so.
func TestNewMaterialsHoldTheFacts(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "winter")
	_, words, code := lanetally(t, "new", dir)
	require.Zero(t, code, words)
	materials := materialsOf(t, dir)
	for id, fraction := range map[string]float64{"salt": massCl / massNaCl, "brine": massCl / massNaCl, "mgcl2": 2 * massCl / massMgCl2,
		"cacl2": 2 * massCl / massCaCl2, "sand_salt": massCl / massNaCl / 10} {
		assert.InDelta(t, fraction, materials[id]["chloride_fraction"].Number, 6e-6, id)
	}
	const massNaAcetate = massNa + massAcetate
	for id, demand := range map[string]float64{"cma": 2 * oxygenPerAcetate / massCMA37, "kac": oxygenPerAcetate / massKAcetate,
		"nac": oxygenPerAcetate / massNaAcetate} {
		assert.InDelta(t, demand, materials[id]["oxygen_demand_lb_per_lb"].Number, 6e-5, id)
	}
	assert.InDelta(t, 0.233*1.176*waterLbPerGal, materials["brine"]["dry_lb_per_gal"].Number, 0.003)
	assert.InDelta(t, 0.32*1.322*waterLbPerGal, materials["cacl2"]["dry_lb_per_gal"].Number, 0.003)
	for id, row := range materials {
		assert.NotEmpty(t, row["source"].Text, id)
		if row["bulk_density_lb_ft3"].Number != 0 {
			assert.Contains(t, row["source"].Text, "weigh a bucket", id)
		}
	}
}

// The example beside each table that is empty is read as it stands: renamed, all of them together make a district without a fault.
func TestExamplesOfANewDistrict(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "winter")
	_, words, code := lanetally(t, "new", dir)
	require.Zero(t, code, words)
	renamed := 0
	for _, name := range contract.ReferenceNames {
		example := filepath.Join(dir, "reference", name+".csv.example")
		if name == "materials" || district.IsDrawing(name) {
			assert.NoFileExists(t, example)
			continue
		}
		renamed++
		require.NoError(t, os.Rename(example, strings.TrimSuffix(example, ".example")))
	}
	assert.Greater(t, renamed, 10)
	assert.Greater(t, len(materialsOf(t, dir)), 5)
}
