package edition_test

import (
	"testing"

	"benchwright/edition"
	"benchwright/sample-project"
)

// BenchmarkPublishSample is the whole way of the sample but for writing files.
func BenchmarkPublishSample(b *testing.B) {
	for b.Loop() {
		e := edition.Open(sampleproject.Files())
		if _, err := e.Publish(edition.PublishOptions{}); err != nil {
			b.Fatal(err)
		}
	}
}
