# make run      build everything and serve the workshop; says what to do next (ARGS='--no-lan')
# make demo     serve an invented aircraft's record, to look at and to throw away
# make photo    measure a photo that comes with it, say where the result is
# make install  for this user, or as root for all (PREFIX=, DESTDIR=); make uninstall takes it away
# make clean    take away what was built and fetched; the record stays
# make release  build/release: archives, a Debian package, checksums, what they are made of
# make test     all tests
# make lint     form, types and dead code; a build server runs both (.ci/run)
# make bench    the benchmarks
# make build    build/bucktail alone
# make pictures README.md's pictures, from the demonstration
# make newcomer a recording of a newcomer's first ten minutes, screen by screen
# make app      the web app, which the next build takes in
# make app-bench   the app's benchmarks in a real browser
# make lighthouse  figures of the app's first screen, by hand
# make thorough the tests that kill, load and damage the record, as often as shows the most
# make fuzz     fuzz every target for FUZZ seconds (default 60) or little more
# make mutants  plant small faults, one at a time, and say which no test notices (ONLY=REGEXP)

# Any Go from 1.21 on then fetches the version that go.mod names.
export GOTOOLCHAIN ?= auto
# Go and Node of the system, or those that .ci/need fetched into build/ where these are too old.
GO_HERE := $(shell .ci/need --path go)
NODE_HERE := $(shell .ci/need --path node)
export PATH := $(if $(GO_HERE),$(GO_HERE):)$(if $(NODE_HERE),$(NODE_HERE):)$(PATH)
# Without git, or in a clone that belongs to another user, Go can't ask which commit this is.
ifneq ($(shell git status >/dev/null 2>&1 && echo known),known)
export GOFLAGS := $(GOFLAGS) -buildvcs=false
endif

GO_FILES = find . -name '*.go' -not -path './pwa/node_modules/*' -not -path './build/*'
FUZZ ?= 60
# Of the store's benchmarks: the size of the largest record, and how often each thing is done
# (a number and not a time, as records have to be made first).
FINDINGS ?= 60000
ROUNDS ?= 200
PHOTO ?= server/demo/photos/aft-left.jpg
# What stands on that photo, and what the card's check lines and paper measured.
PHOTO_IS ?= --what shop-head --rivet 4 --card-scale 1.002,0.999,0.00067 --card-thickness 0.25,0.02

.PHONY: run demo quick-app tried-app install uninstall clean release photo test bench build fuzz thorough mutants lint wasm-test app app-test pictures newcomer app-bench lighthouse

build:
	@.ci/need go cc
	@.ci/step "Building the program (a minute the first time, for its database)" go build -o build/bucktail ./server

# The app of run and demo is packed quickly: what that costs in size matters to no one beside the
# laptop.
run: quick-app build
	build/bucktail serve $(ARGS)

demo: quick-app build
	build/bucktail demo $(ARGS)

quick-app:
	@.ci/need go cc
	@.ci/step "Building the app, and SQLite beside it" bash -c "go build ./store & go run ./pwa/build -quick && wait"

# The record is no part of what is installed, and stays when it is uninstalled.
PREFIX ?= $(if $(filter 0,$(shell id -u)),/usr/local,$(HOME)/.local)
UNITS ?= $(if $(filter 0,$(shell id -u)),$(PREFIX)/lib/systemd/user,$(HOME)/.config/systemd/user)
INSTALLED = "$(DESTDIR)$(PREFIX)/bin/bucktail" "$(DESTDIR)$(PREFIX)/share/man/man1/bucktail.1" \
	"$(DESTDIR)$(PREFIX)/share/bash-completion/completions/bucktail" "$(DESTDIR)$(PREFIX)/share/zsh/site-functions/_bucktail" \
	"$(DESTDIR)$(PREFIX)/share/fish/vendor_completions.d/bucktail.fish" "$(DESTDIR)$(UNITS)/bucktail.service"

install: app build
	@.ci/package build/bucktail build/package
	@cd build/package && for file in $$(find . -type f); do \
		install -D -m "$$(stat -c %a $$file)" $$file "$(DESTDIR)$(PREFIX)/$$file" || exit 1; done
	@mkdir -p "$(DESTDIR)$(UNITS)"
	@sed "s|^ExecStart=bucktail|ExecStart=\"$(PREFIX)/bin/bucktail\"|" .ci/bucktail.service >"$(DESTDIR)$(UNITS)/bucktail.service"
	@echo "Installed: $(PREFIX)/bin/bucktail. To serve whenever you are logged in: systemctl --user enable --now bucktail"

uninstall:
	rm -f $(INSTALLED)
	@echo "The record stays: in ~/.local/share/bucktail, or where --data or BUCKTAIL_DATA put it."

clean:
	rm -rf build pwa/node_modules
	find pwa/dist -mindepth 1 -not -name placeholder -delete

release: app
	@.ci/need go cc
	.ci/release $(VERSION)

# Status 1 says that something on the photo was not measured and asks for help: no failure here.
# ARGS=-v says all of it.
photo: build
	@build/bucktail measure $(PHOTO_IS) --short $(ARGS) --annotate build/annotated.jpg $(PHOTO) || [ $$? -eq 1 ]
	@echo "The photo with its dimensions: build/annotated.jpg (all that was read: make photo ARGS=-v)"

# The libraries of the web app, as locked. They bring no install scripts that are needed.
APP_LIBS = pwa/node_modules/.package-lock.json

$(APP_LIBS): pwa/package-lock.json
	@.ci/need node
	cd pwa && npm ci --ignore-scripts --no-audit --no-fund
	@touch $@

app:
	@.ci/need go
	@.ci/step "Building the app" go run ./pwa/build

# BUCKTAIL_TOOLS=1: what is written is also read by programs of others.
# BUCKTAIL_BROWSER=1: a real browser trusts the workshop's authority and opens its pages.
test:
	@.ci/need go cc node readers chromium
	CHROMIUM="$$(.ci/need --path chromium)" BUCKTAIL_TOOLS=1 BUCKTAIL_BROWSER=1 go test -vet=off -p 3 ./...
	@.ci/beside "Tests under js/wasm, and fuzzing" "$(MAKE) --no-print-directory wasm-test && .ci/fuzz" $(MAKE) --no-print-directory app-test

lint: $(APP_LIBS)
	@.ci/need go cc node
	@unformatted=$$($(GO_FILES) -print0 | xargs -0 gofmt -l); \
	if [ -n "$$unformatted" ]; then echo "not formatted (gofmt -w):"; echo "$$unformatted"; exit 1; fi
	go vet ./... && go vet .ci/mutants/main.go
	go vet -tags training ./imaging/...
	cd .ci/tools && go build -o ../../build/ honnef.co/go/tools/cmd/staticcheck golang.org/x/tools/cmd/deadcode
	build/staticcheck ./...
	build/staticcheck .ci/mutants/main.go
	.ci/dead build/deadcode
	cd pwa && npx prettier --check --log-level warn src test "*.json"

# Of what also runs in the browser, the tests that could come out otherwise there: the networks'
# other kernel, sums in floating point, hashes, the record's form. Decoding, cards, edges and whole
# photos are held natively and in a browser, to the last digit (pwa/test/parity.spec.ts). ALL=1: all
# of them, in full. They may have to wait for others, hence the time.
PORTABLE = $(if $(ALL),./qc/... ./imaging/...,-short $(addprefix ./qc/,. history report) \
	$(addprefix ./imaging/,convnet fastener/outline fit raster))
wasm-test:
	@.ci/need go node
	GOOS=js GOARCH=wasm CGO_ENABLED=0 go vet ./qc/... ./imaging/... ./pwa/wasm
	GOOS=js GOARCH=wasm CGO_ENABLED=0 nice go test -vet=off -timeout 1h -exec='"$(CURDIR)/.ci/wasm-exec"' $(PORTABLE)

# Packed as for run, and its sizes held: packing it at its best takes a minute.
tried-app:
	@.ci/need go
	@.ci/step "Building the app" go run ./pwa/build -quick -sizes

# The app: types, units in Node, the whole of it in a real browser against the real server.
app-test: $(APP_LIBS) tried-app build
	@.ci/need go node chromium
	cd pwa && npx tsc -p tsconfig.json && npx tsc -p tsconfig.worker.json && npx tsc -p tsconfig.test.json
	go run ./pwa/build -unit build/unit
	node --test build/unit/
	cd pwa && CHROMIUM="$$(../.ci/need --path chromium)" npx playwright test -c test

# README.md's pictures, written anew from the demonstration; look at them before they are kept.
pictures: $(APP_LIBS) app build
	@.ci/need node chromium
	cd pwa && PICTURES=testdata/pictures CHROMIUM="$$(../.ci/need --path chromium)" npx playwright test -c test pictures

# testdata/pictures/newcomer anew: from the first start to the first rivet that is judged.
newcomer: $(APP_LIBS) app build
	@.ci/need node chromium
	cd pwa && KIND=shots CHROMIUM="$$(../.ci/need --path chromium)" npx playwright test -c test

# What a phone's browser takes for a photo, a frame and a start: figures, no limits.
app-bench: $(APP_LIBS) app build
	@.ci/need node chromium
	cd pwa && KIND=bench CHROMIUM="$$(../.ci/need --path chromium)" npx playwright test -c test

lighthouse: app build
	@.ci/need node chromium
	CHROMIUM="$$(.ci/need --path chromium)" node pwa/test/lighthouse.mjs

bench:
	@.ci/need go cc
	go test -run '^$$' -bench . -benchmem $$(go list ./... | grep -v '/store$$')
	go test -run '^$$' -bench . -benchtime $(ROUNDS)x -timeout 60m ./store -args -findings $(FINDINGS)

# What make test does in small numbers, in large ones. Reading under load must be quick then, which
# takes a quiet machine.
thorough:
	@.ci/need go cc
	BUCKTAIL_THOROUGH=1 BUCKTAIL_KILLS=200 BUCKTAIL_PHOTOS=200 go test -vet=off -count=1 -timeout 1h ./store ./server/workshop

fuzz:
	@.ci/need go cc
	.ci/fuzz $(FUZZ)

# By hand and before a release: the whole list takes about 20 minutes. BUCKTAIL_TOOLS=1: some
# faults in what is written are noticed only by the tests that read it with programs of others.
mutants:
	@.ci/need go cc readers
	BUCKTAIL_TOOLS=1 go run .ci/mutants/main.go -only '$(ONLY)'
