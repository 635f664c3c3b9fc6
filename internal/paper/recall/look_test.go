package recall_test

import (
	"fmt"
	"os"
	"testing"
	"time"

	"saponym/internal/paper/recall"
	"saponym/internal/render/pdf"
)

func TestLook(t *testing.T) {
	for name, s := range map[string]recall.Sheet{"small": small(t), "many": many(t, 200), "none": {Of: "lot XX-1", Maker: maker(), On: on(t, "2026-11-26")}} {
		for _, size := range []string{"a4", "letter"} {
			start := time.Now()
			doc, found, err := s.Document(paper(t, size))
			if err != nil {
				t.Fatal(err)
			}
			if len(doc.Sheets) == 0 {
				t.Fatal(name, found)
			}
			data, err := pdf.Write(doc)
			if err != nil {
				t.Fatal(err)
			}
			fmt.Println(name, size, found, len(doc.Sheets[0].Scenes), time.Since(start))
			os.WriteFile("/tmp/w/look-"+name+"-"+size+".pdf", data, 0o644)
		}
	}
	fmt.Println(small(t).Text())
	c, _ := small(t).CSV()
	fmt.Println(string(c))
}
