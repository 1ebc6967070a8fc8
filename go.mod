module bucktail

go 1.26.0

ignore ./pwa/node_modules

require (
	codeberg.org/go-pdf/fpdf v0.12.0 // indirect
	github.com/andybalholm/brotli v1.3.0 // indirect
	github.com/disintegration/imaging v1.6.2 // indirect
	github.com/evanw/esbuild v0.28.2 // indirect
	github.com/gofrs/flock v0.13.2 // indirect
	github.com/google/uuid v1.6.0 // indirect
	github.com/gorilla/mux v1.8.1 // indirect
	github.com/gowebpki/jcs v1.0.2 // indirect
	github.com/mattn/go-sqlite3 v1.14.53 // indirect
	github.com/mitchellh/colorstring v0.0.0-20190213212951-d06e56a500db // indirect
	github.com/rivo/uniseg v0.4.7 // indirect
	github.com/rogpeppe/go-internal v1.16.0 // indirect
	github.com/rwcarlsen/goexif v0.0.0-20190401172101-9e8deecbddbd // indirect
	github.com/santhosh-tekuri/jsonschema/v6 v6.0.3 // indirect
	github.com/schollz/progressbar/v3 v3.19.1 // indirect
	go.yaml.in/yaml/v3 v3.0.6 // indirect
	golang.org/x/image v0.47.0 // indirect
	golang.org/x/sync v0.25.0 // indirect
	golang.org/x/sys v0.49.0 // indirect
	golang.org/x/term v0.44.0 // indirect
	golang.org/x/text v0.43.0 // indirect
	golang.org/x/time v0.16.0 // indirect
	golang.org/x/tools v0.51.0 // indirect
	pgregory.net/rapid v1.3.0 // indirect
	rsc.io/qr v0.2.0 // indirect
)
