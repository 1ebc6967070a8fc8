// Package accuracy holds how well the program measures: its tests measure photos that nothing
// was trained on, as a builder would, and compare what is read, how sure it says it is and what
// it judges with the exact truth. The photos are the rendered scenes of testdata/accuracy
// (render_test.go makes them) and the bundled ones of testdata/photos. Start with TestAccuracy;
// the bounds stand in bounds_test.go, and the table in README.md is made from what is found:
//
//	go test -v ./imaging/accuracy                    # prints all figures, also to build/accuracy.md
//	go test ./imaging/accuracy -run README -update   # writes the table into README.md
//
// A bound is what was found when it was set, and a room beside it (ofMany, ofFew) that allows
// for another processor's rounding and for little else. Bias and U are bounded from both sides:
// a U that covers everything says as little as one that covers nothing. Whoever measures better
// puts what is found in place of what was, as the first command prints it in the form of that
// file, and writes README.md anew. Nothing is made less strict without a reason in the commit: a
// figure that gets worse while others gain, a verdict against the truth that is known of. Better
// readings break a bound in two cases: where U no longer fits the errors, and where the program
// dares to read what it used to ask about. Both are to be looked at.
//
// There is nothing here but tests. They are not built for js/wasm: sixty photos take minutes
// under Node, where the tests of package measure run too.
package accuracy
