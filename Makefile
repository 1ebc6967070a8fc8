# make run      build, measure the bundled photo, say where the result is
# make test     all checks and tests
# make bench    the benchmarks
# make build    build/bucktail alone
# make fuzz     fuzz every target for FUZZ seconds (default 60)

# Any Go from 1.21 on then fetches the version that go.mod names.
export GOTOOLCHAIN ?= auto

GO_FILES = find . -name '*.go' -not -path './pwa/node_modules/*' -not -path './build/*'
FUZZ ?= 60
PHOTO ?= testdata/photos/dev-08.jpg
# What stands on that photo, and what the card's rulers and paper measured.
PHOTO_IS ?= --what shop-head --rivet 6 --card-scale 0.99701,0.99744 --card-thickness 0.255

.PHONY: run test bench build fuzz lint wasm-test

build:
	@.ci/need go cc
	go build -o build/bucktail ./server

# Status 1 says that something on the photo was not measured and asks for help: no failure here.
run: build
	build/bucktail measure $(PHOTO_IS) --annotate build/annotated.jpg $(PHOTO) || [ $$? -eq 1 ]
	@echo "The photo with its dimensions: build/annotated.jpg"

test: lint
	go test ./...
	@$(MAKE) --no-print-directory wasm-test
	.ci/fuzz 4

lint:
	@.ci/need go cc node
	@unformatted=$$($(GO_FILES) -print0 | xargs -0 gofmt -l); \
	if [ -n "$$unformatted" ]; then echo "not formatted (gofmt -w):"; echo "$$unformatted"; exit 1; fi
	go vet ./...
	cd .ci/tools && go build -o ../../build/staticcheck honnef.co/go/tools/cmd/staticcheck
	build/staticcheck ./...

# The same tests of what also runs in the browser.
wasm-test:
	@.ci/need go node
	GOOS=js GOARCH=wasm CGO_ENABLED=0 go vet ./qc/... ./imaging/...
	GOOS=js GOARCH=wasm CGO_ENABLED=0 go test -exec='"$(CURDIR)/.ci/wasm-exec"' ./qc/... ./imaging/...

bench:
	@.ci/need go cc
	go test -run '^$$' -bench . -benchmem ./...

fuzz:
	@.ci/need go cc
	.ci/fuzz $(FUZZ)
