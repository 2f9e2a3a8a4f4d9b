#include "handlers/words.h"

#include "rules/exposure.h"
#include "rules/field_test.h"
#include "rules/figure.h"
#include "rules/fit_check.h"
#include "rules/qualification.h"
#include "rules/readiness.h"
#include "rules/retirement.h"
#include "rules/safety_notice.h"

const struct choice kind_choice[] = {{"coat_shell", "Coat shell"},
				     {"coat_liner", "Coat liner"},
				     {"drd", "Drag rescue device"},
				     {"trouser_shell", "Trouser shell"},
				     {"trouser_liner", "Trouser liner"},
				     {"helmet", "Helmet"},
				     {"faceshield", "Faceshield"},
				     {"goggles", "Goggles"},
				     {"overcover", "Helmet overcover"},
				     {"shroud", "Shroud"},
				     {"hood", "Hood"},
				     {"gloves", "Gloves (pair)"},
				     {"footwear", "Footwear (pair)"},
				     {NULL, NULL}};

const struct choice issue_condition_choice[] = {{"new", "New"},
						{"good", "Good"},
						{"serviceable", "Serviceable"},
						{"repaired", "Repaired"},
						{NULL, NULL}};

const struct choice return_condition_choice[] = {
    {"good", "Good"},       {"serviceable", "Serviceable"},
    {"soiled", "Soiled"},   {"contaminated", "Contaminated"},
    {"damaged", "Damaged"}, {NULL, NULL}};

const struct choice cleaning_class_choice[] = {{"routine", "Routine cleaning"},
					       {"advanced", "Advanced cleaning"},
					       {"specialized", "Specialized cleaning"},
					       {NULL, NULL}};

#define PERFORMER_CHOICE(code, word, label, remark) {word, label},
const struct choice performer_class_choice[] = {
    PERFORMER_CLASS_LIST(PERFORMER_CHOICE){"unknown", "Not on record"}, {NULL, NULL}};

const struct choice confidence_choice[] = {
    {"high", "high: read in a public source"},
    {"medium", "medium: from memory, or told at second hand; check it"},
    {"low", "low: public sources disagree or are silent; check the licensed document"},
    {NULL, NULL}};

const struct choice wash_method_choice[] = {
    {"machine", "By machine"}, {"hand", "By hand"}, {NULL, NULL}};

const struct choice washer_choice[] = {
    {"front", "Front-loading washer-extractor"}, {"top", "Top-loading washer"}, {NULL, NULL}};

const struct choice drying_choice[] = {{"air", "Hung in air"},
				       {"cabinet", "In a drying cabinet"},
				       {"machine", "In a tumble dryer"},
				       {NULL, NULL}};

/* Of words in two forms, the one that stands alone. */
#define TEXT_CHOICE(code, word, label, text) {word, text},
const struct choice exposure_cause_choice[] = {EXPOSURE_CAUSE_LIST(TEXT_CHOICE){NULL, NULL}};

const struct choice interface_answer_choice[] = {INTERFACE_ANSWER_LIST(TEXT_CHOICE){NULL, NULL}};

const struct choice laboratory_choice[] = {
    {"lab_tpp", "Thermal protective performance of a garment, cal/cm²"},
    {"lab_thl", "Total heat loss, W/m²"},
    {"lab_hood_tpp", "Thermal protective performance of a hood, cal/cm²"},
    {"lab_rpp", "Radiant protective performance, intersect time, s"},
    {"lab_reflection", "Retroreflection of trim, cd/(lx·m²)"},
    {"lab_tear_shell", "Tear strength of an outer shell, N"},
    {"lab_tear_liner", "Tear strength of a moisture or thermal barrier, N"},
    {"lab_shell_strength", "Breaking strength of an outer shell, N"},
    {"lab_seam_a", "Breaking strength of a major A seam, N"},
    {"lab_seam_b", "Breaking strength of a major B seam, N"},
    {"lab_seam_minor", "Breaking strength of a minor seam, N"},
    {"lab_water", "Water penetration of a barrier, psi"},
    {"lab_char", "Char length, in"},
    {"lab_after_flame", "After-flame time, s"},
    {"lab_shrinkage", "Shrinkage by heat, %"},
    {NULL, NULL}};

const struct choice extent_choice[] = {{"pinhole", "A pinhole"},
				       {"spot", "One spot"},
				       {"area", "A larger area"},
				       {"breakdown", "The barrier breaks down"},
				       {NULL, NULL}};

const struct choice hold_container_choice[] = {{"paper", "Paper bag"},
					       {"cardboard", "Cardboard box"},
					       {"none", "Not packed: left as it was found"},
					       {NULL, NULL}};

const struct choice custody_purpose_choice[] = {{"placed", "Placed in custody"},
						{"moved", "Moved"},
						{"viewed", "Viewed"},
						{"photographed", "Photographed"},
						{"handed_over", "Handed to an investigator"},
						{"taken_back", "Taken back from an investigator"},
						{"laboratory", "Examined by a laboratory"},
						{"released", "Released"},
						{NULL, NULL}};

const struct choice finding_state_choice[] = {
    {"open", "Open"},         {"accepted", "Accepted, serves on"},    {"mended", "Mended"},
    {"replaced", "Replaced"}, {"withdrawn", "Withdrawn or answered"}, {NULL, NULL}};

const struct choice dispatch_state_choice[] = {{"draft", "Draft"},
					       {"sent", "Sent"},
					       {"returned", "Returned"},
					       {"cancelled", "Cancelled"},
					       {NULL, NULL}};

const struct choice repair_result_choice[] = {{"repaired", "Repaired"},
					      {"replaced", "Replaced by a new part"},
					      {"not_repaired", "Not repaired"},
					      {"no_fault_found", "No fault found"},
					      {NULL, NULL}};

const struct choice conclusion_choice[] = {{"return_to_service", "Return to service"},
					   {"out_of_service", "Out of service"},
					   {"retire", "Retire"},
					   {"clean_first", "Clean first"},
					   {NULL, NULL}};

#define CHOICE(code, word, label) {word, label},
const struct choice hazard_choice[] = {HAZARD_LIST(CHOICE){NULL, NULL}};
const struct choice line_choice[] = {ENSEMBLE_LINE_LIST(CHOICE){NULL, NULL}};
const struct choice state_choice[] = {SERVICE_STATE_LIST(CHOICE){NULL, NULL}};
const struct choice face_choice[] = {FACE_LIST(CHOICE){NULL, NULL}};
const struct choice side_choice[] = {SIDE_LIST(CHOICE){NULL, NULL}};
const struct choice figure_view_choice[] = {FIGURE_VIEW_LIST(CHOICE){NULL, NULL}};
const struct choice severity_choice[] = {SEVERITY_LIST(CHOICE){NULL, NULL}};
const struct choice inspection_kind_choice[] = {INSPECTION_KIND_LIST(TEXT_CHOICE){NULL, NULL}};
const struct choice fit_state_choice[] = {FIT_RESULT_LIST(CHOICE){"revoked", "Recorded in error"},
					  {NULL, NULL}};
const struct choice field_test_choice[] = {FIELD_TEST_LIST(CHOICE){NULL, NULL}};
const struct choice field_test_result_choice[] = {FIELD_TEST_RESULT_LIST(CHOICE){NULL, NULL}};
/* What may be asked for in lists: those taken back are apart. */
const struct choice field_test_state_choice[] = {
    FIELD_TEST_RESULT_LIST(CHOICE){"revoked", "Recorded in error"}, {NULL, NULL}};
const struct choice retirement_ground_choice[] = {RETIREMENT_GROUND_LIST(CHOICE){NULL, NULL}};
const struct choice disposal_way_choice[] = {DISPOSAL_WAY_LIST(CHOICE){NULL, NULL}};
const struct choice training_use_choice[] = {TRAINING_USE_LIST(CHOICE){NULL, NULL}};

const struct choice safety_action_choice[] = {SAFETY_ACTION_LIST(CHOICE){NULL, NULL}};
const struct choice safety_answer_choice[] = {SAFETY_ANSWER_LIST(CHOICE){NULL, NULL}};
const struct choice safety_hit_choice[] = {{"hit", "Hit"}, {"possible", "Possible"}, {NULL, NULL}};
