// Package accuracy holds how well the program measures: its tests render photos that nothing
// was trained on, measure them as a builder would, and compare what is read, how sure it says
// it is and what it judges with the exact truth. Start with TestAccuracy; the bounds stand in
// bounds_test.go, and the table in README.md is made from what the test finds:
//
//	go test ./imaging/accuracy -v               # prints the table, and why a bound is broken
//	go test ./imaging/accuracy -run README -update   # writes the table into README.md
//
// There is nothing here but tests. They are not built for js/wasm: rendering takes minutes
// there, and the readings of both builds are compared elsewhere, photo by photo.
package accuracy
