package main

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// Words are parted by | where the shell parts them.
func TestAMeasureMayBeSeveralWords(t *testing.T) {
	root := newRoot(streams{})
	for line, want := range map[string]string{
		"stow|tin.jpg|--as|squares|--cut|3|1/2":           "stow|tin.jpg|--as|squares|--cut|3 1/2",
		"stow|--cut|3|1/2|tin.jpg":                        "stow|--cut|3 1/2|tin.jpg",
		"stow|--cut=3|1/2|tin.jpg":                        "stow|--cut=3 1/2|tin.jpg",
		"use|--cut|2|1/2|8":                               "use|--cut|2 1/2|8",
		"add|12|--cut|2|½|--family|blue":                  "add|12|--cut|2 ½|--family|blue",
		"add|12|--cut|6|cm":                               "add|12|--cut|6 cm",
		"add|--weight|350|g":                              "add|--weight|350 g",
		"floor|set|20|--cut|2|1/2":                        "floor|set|20|--cut|2 1/2",
		"--stash|s|set|--trim|1|1/2":                      "--stash|s|set|--trim|1 1/2",
		"look|a.jpg|--cuts|1|1/2,2|1/2,|5":                "look|a.jpg|--cuts|1 1/2,2 1/2, 5",
		"plan|ohio-star|--size|60|1/2|x|72":               "plan|ohio-star|--size|60 1/2 x 72",
		"plan|ohio-star|--size|60|x72|--block|9|1/2":      "plan|ohio-star|--size|60 x72|--block|9 1/2",
		"plan|ohio-star|--layout|4|x|5":                   "plan|ohio-star|--layout|4 x 5",
		"fix|12|--length|18|1/2in":                        "fix|12|--length|18 1/2in",
		"stow|--cut|3|x1.jpg":                             "stow|--cut|3|x1.jpg",
		"stow|--cut|3|1/2/a.jpg":                          "stow|--cut|3|1/2/a.jpg",
		"stow|--cut|2½|1/2":                               "stow|--cut|2½|1/2",
		"use|8|--cut|2|--basket|1/2":                      "use|8|--cut|2|--basket|1/2",
		"use|8|--basket|2|1/2":                            "use|8|--basket|2|1/2",
		"use|--cut":                                       "use|--cut",
		"nonsense|--cut|3|1/2":                            "nonsense|--cut|3|1/2",
		"use|8|--|--cut|3|1/2":                            "use|8|--|--cut|3|1/2",
		"buy|--wof|42|1/2|--trim|1/8|--squaring|1|1/2|cm": "buy|--wof|42 1/2|--trim|1/8|--squaring|1 1/2 cm",
	} {
		require.Equal(t, strings.Split(want, "|"), joinMeasures(root, strings.Split(line, "|")), line)
	}
}
