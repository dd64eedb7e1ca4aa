// Package paper paints a build record as a PDF, and finds the record again in
// a PDF that it painted: the record is attached to it as JSON, so that the paper
// and what proves it stay one file.
package paper
