package report

func (r *Report) fillInsights() {}
