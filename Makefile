# The build tag of DuckDB's Arrow interface is set here and nowhere else. Paths are cut so that the folder of a build does not change its bytes.
export GOFLAGS := -tags=duckdb_arrow -buildvcs=false -trimpath
export CGO_ENABLED := 1

DEMO  := build/demo
PROG  := build/lanetally
COMMIT := $(shell git describe --always --dirty --abbrev=12 2>/dev/null || echo unknown)
LDFLAGS := -X lanetally/pipeline.commit=$(COMMIT)
CHART := site/assets/vendor/echarts.min.js
METAR := testdata/metar/node_modules/.package-lock.json
CHECKERS := testdata/checkers/node_modules/.package-lock.json

PACKAGES := ./...
FOLDERS  := pipeline site queries schemas

.PHONY: help positions setup build reproducible demo test vet lint unit race torture gosec vuln sbom bench reference simulate pictures clean

help: ## List the targets
	@grep -hE '^[a-z]+:.*## ' $(MAKEFILE_LIST) | sed -E 's/:.*## /\t/' | expand -t 14

setup: $(CHART) ## Install what the program needs to build

$(CHART): site/package.json site/package-lock.json site/echarts.mjs site/vendor.sh .ci/setup
	@sh .ci/setup build
	sh site/vendor.sh

# The reference reader of weather reports that tests compare with.
$(METAR): testdata/metar/package-lock.json
	cd testdata/metar && npm ci --ignore-scripts --no-audit --no-fund

# The checkers of pages and schemas that tests hold ours against.
$(CHECKERS): testdata/checkers/package-lock.json
	cd testdata/checkers && npm ci --ignore-scripts --no-audit --no-fund

build: setup ## Build build/lanetally
	go build -ldflags "$(LDFLAGS)" -o $(PROG) ./pipeline/lanetally

reproducible: setup ## Build in two folders and compare the bytes
	sh .ci/reproducible "$(LDFLAGS)"

demo: build ## Write the demo district, run a night over it, print where the dashboard is
	rm -rf $(DEMO)
	$(PROG) demo $(DEMO)
	$(PROG) nightly $(DEMO)

test: setup $(METAR) $(CHECKERS) ## Set up and run every check and test
	@sh .ci/setup test
	$(MAKE) --no-print-directory vet unit race

vet: setup ## Formatting, vet and staticcheck
	@test -z "$$(gofmt -l $(FOLDERS))" || { gofmt -l $(FOLDERS); echo 'run gofmt -w on these'; exit 1; }
	go vet $(PACKAGES)
	go tool staticcheck $(PACKAGES)

lint: setup ## What .golangci.yml asks beyond vet (the checker is large: its first build takes minutes)
	go tool -modfile=.ci/lint.mod golangci-lint run $(PACKAGES)

unit: setup $(METAR) $(CHECKERS) ## All tests; they leave nothing in the temporary folder
	sh .ci/tidy go test -timeout 30m $(PACKAGES)

race: setup ## The race detector over what runs beside something else
	sh .ci/tidy go test -race -timeout 15m -run 'Serve|Lock|Stop|Signal' ./pipeline

# Shorter parts first. Each part adds its rows to the table, so that they can also be run one by one: make torture TORTURE=FuzzTargets
TORTURE ?= EachFailing|Shrinking|KilledNights|FullDiskFrom|HungNight|StoppedNight|Signals|AnotherUser|DamagedLedger|HostileDeliveries|HostileSizes NobodyComputes ArchiveFlips GrowingFile FileLimit SmallDisk Scripts|Splits|OrderOfArrival|ExportsDoNot FuzzTargets \
	NightWithAFailing KilledAtEvery KilledAtAFile KilledAtRandom ManyNights

torture: setup ## Long versions of the tests of faults (an hour or more); writes testdata/faults/RESULTS.md
	@sh .ci/setup test
	$(if $(filter file,$(origin TORTURE)),rm -f testdata/faults/RESULTS.md)
	@failed=''; for part in $(foreach part,$(TORTURE),'$(part)'); do \
		echo "torture: $$part"; \
		LANETALLY_TORTURE=1 go test ./pipeline -count=1 -timeout 3h -run "$$part" || failed="$$failed $$part"; \
	done; test -z "$$failed" || { echo "failed:$$failed"; exit 1; }

# Left out: G115, conversions of counts and days that are bounded where they are made; G301, G302, G306, pages and exports are for others to read;
# G304 and G703, paths are those of the command line and the district folder, and delivered names are opened below an os.Root.
# Any other finding that stands is explained at its line.
gosec: setup ## Look for insecure code (the checker is large: its first build takes minutes)
	go tool -modfile=.ci/checkers.mod gosec -quiet -tags duckdb_arrow -exclude=G115,G301,G302,G304,G306,G703 ./...

vuln: setup ## Look for known faults of the modules used; asks vuln.go.dev
	go tool -modfile=.ci/checkers.mod govulncheck ./...

sbom: build ## Write build/sbom.json: every module and package that the program is made of, with its licence (CycloneDX)
	node .ci/sbom.mjs $(PROG) site/package-lock.json testdata/licences.tsv > build/sbom.json

# small tries all in a minute or two; season asks the limits; state adds 300 million points (ten minutes more, 10 GB of disk)
SIZE := season

bench: setup ## Speed and memory, measured: SIZE=small, season or state; writes testdata/bench/RESULTS.md
	@sh .ci/setup bench
	@failed=0; LANETALLY_BENCH=$(SIZE) go test ./pipeline -count=1 -timeout 6h -run '^TestSpeed$$' -v || failed=1; \
	go test -run '^$$' -bench . -benchtime 1s $(PACKAGES) || failed=1; exit $$failed

positions: setup ## Drives over real roads and our own, all noises and seeds, beside a reference matcher (minutes); writes testdata/positions/RESULTS.md
	LANETALLY_POSITIONS=1 go test ./pipeline/trace -count=1 -timeout 2h -run 'TestPositionsTable|TestPlainMatcher' -v

reference: ## Rerun the reference calculations in R, GeographicLib and PROJ and compare with the committed results
	@sh .ci/setup reference
	sh testdata/reference/run.sh
	go test ./pipeline/matching -run TestLengthsLive -count=1

simulate: setup ## Simulated seasons from known truths: coverage and false verdicts (about two hours)
	LANETALLY_SIMULATE=2000 go test ./pipeline ./pipeline/verdicts -count=1 -run 'Simulat|InputsFromDemo' -timeout 3h -v

pictures: demo ## Make the README's pictures from the demo
	@sh .ci/setup test
	go test -count=1 -run TestPictures ./site -args -pictures $(CURDIR)/site/pictures -demo $(CURDIR)/$(DEMO)

clean: ## Remove what was built
	rm -rf build site/node_modules site/assets/vendor testdata/metar/node_modules testdata/checkers/node_modules
