#include "Families/ValidityOf.h"

namespace volvelle {

namespace {

/// What bounds the band in which captures of this form tell something.
const char* bounding(CaptureForm form) {
    switch (form) {
        case CaptureForm::recording:
            return "excitation";
        case CaptureForm::impulseResponse:
            return "sample rate";
        case CaptureForm::textResponse:
            return "the files' own grid";
    }
    return "not known";
}

}  // namespace

Band excitedOf(const DriveRecord& drive) {
    switch (drive.form) {
        case CaptureForm::recording:
            return excitedBand(drive.excitation.samples, drive.sampleRateHz);
        case CaptureForm::impulseResponse:
            return {0, drive.sampleRateHz / 2};
        case CaptureForm::textResponse:
            break;
    }
    return drive.frequencyHz.empty() ? Band{0, 0} : Band{drive.frequencyHz.front(), drive.frequencyHz.back()};
}

Validity validityOf(const RunRecord& run, const DriveRecord& drive, const ResolvedRecipe& recipe,
                    const Band& excited) {
    Validity validity{};
    validity.excited = excited;
    validity.excitedBy = bounding(drive.form);
    validity.resolutionHz = drive.form == CaptureForm::textResponse ? 0 : recipe.resolutionHz();
    validity.chamberLowestHz = run.plan.chamberLowestHz;
    validity.farFieldHz = farFieldLimitHz(run.nominalDistanceM, run.unitSizeM, run.air);
    return validity;
}

}  // namespace volvelle
