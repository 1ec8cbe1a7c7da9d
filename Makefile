# The two commands of the README are `make demo` and `make test`. The tools are
# pinned in tools/go.mod and built into bin/; nothing is installed outside this
# folder but Debian packages, where a check needs them.

SHELL  := /bin/sh
GO     ?= go
PYTHON := /usr/bin/python3
LEVEL  := $(MAKE) --no-print-directory

.PHONY: demo build verifier test checks programs format vet staticcheck vulnerabilities unit smoke page bench coverage fuzz slow clean
.DEFAULT_GOAL := build

# demo does the main job on a study of our own: it needs Go and, for the first
# time, the module proxy; no service, no other program.
demo:
	$(GO) run ./cmd/telltale demo --out out/demo

# verifier makes a folder that any web server can hand out: a page that opens a
# dossier in the browser and sends nothing anywhere.
verifier:
	mkdir -p bin/verifier
	GOOS=js GOARCH=wasm $(GO) build -trimpath -ldflags "-s -w" -o bin/verifier/check.wasm ./cmd/checkpage
	cp cmd/checkpage/page/* "$$($(GO) env GOROOT)/lib/wasm/wasm_exec.js" bin/verifier/

build:
	$(GO) build -o bin/telltale ./cmd/telltale

# test runs every check, goes on past one that fails, and fails at the end.
test:
	@$(LEVEL) -k checks && echo "all checks passed"

checks: programs format vet staticcheck vulnerabilities unit smoke page

# Programs that some checks use, from Debian. A missing one fails here, and the
# other checks go on.
programs:
	@tools/timed.sh programs tools/need.sh chromium=chromium pdftotext=poppler-utils tesseract=tesseract-ocr

format:
	@tools/timed.sh format sh -c 'bad=$$(gofmt -l .); test -z "$$bad" || { echo "gofmt would change:"; echo "$$bad"; exit 1; }'

vet:
	@tools/timed.sh vet $(GO) vet ./...
	@tools/timed.sh "vet of the tools" sh -c 'cd tools && $(GO) vet ./...'

staticcheck: bin/staticcheck
	@tools/timed.sh staticcheck bin/staticcheck ./...

# Without the network service of govulncheck: the database is a Go module.
vulnerabilities: bin/govulncheck bin/vulndb
	@tools/timed.sh vulnerabilities bin/vulndb -govulncheck bin/govulncheck -into bin -module tools -allowed tools/vulndb/allowed.txt ./...

unit:
	@tools/timed.sh "unit tests" $(GO) test -timeout 9m ./...
	@tools/timed.sh "tests of the tools" sh -c 'cd tools && $(GO) test ./...'

smoke:
	@tools/timed.sh "fuzz smoke" tools/fuzz.sh 2s

# The demo's page is printed by a browser and its text read back.
page: build
	@tools/timed.sh "printed page" tools/page.sh

bin/staticcheck: tools/go.mod
	cd tools && $(GO) build -o ../bin/staticcheck honnef.co/go/tools/cmd/staticcheck

bin/govulncheck: tools/go.mod
	cd tools && $(GO) build -o ../bin/govulncheck golang.org/x/vuln/cmd/govulncheck

bin/vulndb: tools/go.mod $(wildcard tools/vulndb/*.go)
	cd tools && $(GO) build -o ../bin/vulndb ./vulndb

# bench prints times, and ratios to programs that do the same task, all measured
# in this run. It takes some minutes; leave the machine alone meanwhile.
bench: build
	@tools/need.sh $(PYTHON)=python3 $(PYTHON):scipy=python3-scipy
	$(GO) test -run '^$$' -bench . -benchmem ./...
	sh medium/testdata/speed.sh
	PYTHON=$(PYTHON) tools/bench/run.sh

# coverage runs 20 000 wearings a cell of the grid: half an hour or more on two cores.
ROUNDS ?= 20000
coverage:
	@mkdir -p out
	$(GO) test ./fitfactor -count 1 -timeout 0 -run '^TestIntervalsKeepTheirPromise$$' -rounds $(ROUNDS) -table $(CURDIR)/out/coverage.txt
	tools/between.sh docs/science/coverage.md "$(ROUNDS) synthetic wearings a cell." out/coverage.txt

# fuzz runs each fuzz target for a while.
FUZZTIME ?= 5m
fuzz:
	tools/fuzz.sh $(FUZZTIME)

# slow runs the suites that are too long for `make test`.
slow: coverage fuzz
	TELLTALE_EVERY_FLIP=1 $(GO) test ./dossier -count 1 -timeout 0 -run EachChangedByte
	TELLTALE_BROWSER=1 $(GO) test ./cmd/checkpage -count 1 -timeout 0
	$(GO) test ./attribution -count 1 -timeout 0 -run Calibrat -rounds 1000 -v

clean:
	rm -rf bin out
