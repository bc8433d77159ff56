package design

func examples(name string) (bad, good string) { return "", "" }
