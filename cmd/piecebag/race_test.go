//go:build race

package main

// raceDetector says whether the tests run under the race detector.
const raceDetector = true
