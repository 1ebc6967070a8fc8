// Package accuracy holds how well the program measures: its tests measure photos that nothing
// was trained on, as a builder would, and compare what is read, how sure it says it is and what
// it judges with the exact truth. The photos are the rendered scenes of testdata/accuracy
// (render_test.go makes them) and the bundled ones of testdata/photos. Start with TestAccuracy;
// the bounds stand in bounds_test.go, and the table in README.md is made from what is found:
//
//	go test -v ./imaging/accuracy                    # prints all figures, also to build/accuracy.md
//	go test ./imaging/accuracy -run README -update   # writes the table into README.md
//
// There is nothing here but tests. They are not built for js/wasm: sixty photos take minutes
// under Node, where the tests of package measure run too.
package accuracy
