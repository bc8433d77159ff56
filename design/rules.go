package design

import "benchwright/schema"

// Rules lists every rule of this package with its examples, group by group.
func Rules() []Rule {
	rules := ruleList()
	for i := range rules {
		rules[i].Bad, rules[i].Good = examples(rules[i].Name)
	}
	return rules
}

// ruleList lists the rules without their examples, which take time to unpack.
func ruleList() []Rule {
	return []Rule{
		questionWithoutPair(), questionAwaitingReadings(), heldFactorDiffers(), heldFactorMoves(), heldFactorElsewhere(), followerDoesNotFollow(),
		recordedOnOneSide(), nuisanceBeyondTolerance(), identicalConfigurations(), withNeverDiffers(),
		factorsMoveTogether(), effectsConfounded(), effectsHardToSeparate(), interactionAliased(), studiedNeverVaried(),

		derivedDisagrees(), displayedNeverResolved(), measuredDisagrees(), measuredOnSome(),

		factorWithTime(), pairInDifferentSessions(), unevenSessions(), repeatsInOneBlock(), noReturnToBaseline(), baselineDrift(), sessionDrift(), firstRepeatOutOfLine(),

		impossibleReading(), powerOfTen(), suspectUnit(), partialWorkload(), failureLeftOut(), failedAmongRepeats(), excludedOnOneSide(), cappedReadings(),

		tooFewRepeats(), outlier(), largeSpread(), twoClusters(), identicalRepeats(), copiedReadings(), copiedFrameTimes(), frameFileLength(), coarseResolution(),

		baselineOddOneOut(), baselineReadsOdd(), compositeOverDifferentSets(), targetNeverReached(),

		sessionWithoutConditions(), sessionWithoutReadings(), readingsWithoutSession(), orderTwice(), configurationWithoutReadings(),
		workloadWithoutReadings(), sessionAfterReport(), instrumentOutOfCalibration(),

		beyondMakersLimit(),

		unknownRule(), silenceWithoutFinding(),
	}
}

// The last two are looked for by Apply.

func unknownRule() Rule {
	return Rule{
		Name: "unknown-rule", Group: Checker, Severity: schema.Error,
		Title:  "A rule that does not exist is named",
		What:   "`checks` in report.yaml names a rule that the checker does not have.",
		Why:    "The severity or silence that was meant does not take effect.",
		Remedy: "Take the name from the finding that it is about.",
		Source: "none needed",
	}
}

func silenceWithoutFinding() Rule {
	return Rule{
		Name: "silence-without-finding", Group: Checker, Severity: schema.Warning,
		Title:  "A silence that silences nothing",
		What:   "`checks` in report.yaml silences a rule, and nothing of the kind is found.",
		Why:    "The fault has been put right and the silence forgotten. It would hide the next one.",
		Remedy: "Delete the silence.",
		Source: "none needed",
	}
}
