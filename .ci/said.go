// Said reads what go test -json writes, says which packages passed and all that those
// that failed had to say, and fails where any test failed or was skipped: what is not
// run here is run nowhere.
package main

import (
	"bufio"
	"encoding/json"
	"fmt"
	"os"
	"strings"
)

func main() {
	var failed bool
	var skipped []string
	said := map[string]*strings.Builder{} // of each package or test that runs
	lines := bufio.NewScanner(os.Stdin)
	lines.Buffer(nil, 1<<24)
	for lines.Scan() {
		var e struct {
			Action, Package, ImportPath, Test, Output string
			Elapsed                                   float64
		}
		if err := json.Unmarshal(lines.Bytes(), &e); err != nil {
			fmt.Println(lines.Text()) // the build's own words
			continue
		}
		of := e.Package + e.ImportPath + " " + e.Test
		if said[of] == nil {
			said[of] = &strings.Builder{}
		}
		switch e.Action {
		case "output", "build-output":
			said[of].WriteString(e.Output)
		case "fail", "build-fail":
			failed = true
			fmt.Print(said[of])
		case "skip":
			if e.Test != "" { // a package without tests is skipped too
				skipped = append(skipped, of)
				fmt.Print(said[of])
			}
		case "pass":
			if e.Test == "" {
				fmt.Printf("ok  %s %.1fs\n", e.Package, e.Elapsed)
			}
		}
		if e.Action != "output" && e.Action != "build-output" && e.Action != "run" {
			delete(said, of)
		}
	}
	if len(skipped) > 0 {
		fmt.Printf("%d tests were skipped, which are to run here: %s\n", len(skipped), strings.Join(skipped, ", "))
	}
	if failed || len(skipped) > 0 || lines.Err() != nil {
		os.Exit(1)
	}
}
