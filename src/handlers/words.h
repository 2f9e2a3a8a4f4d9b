/*
 * Closed sets of words, as they are stored and as people read them. Each stands
 * here once, for forms, lists and tables.
 */
#ifndef PEGWARDEN_HANDLERS_WORDS_H
#define PEGWARDEN_HANDLERS_WORDS_H

#include "http/field.h"

extern const struct choice hazard_choice[];
extern const struct choice line_choice[];
extern const struct choice kind_choice[];
extern const struct choice state_choice[];
extern const struct choice issue_condition_choice[];
extern const struct choice return_condition_choice[];
extern const struct choice cleaning_class_choice[];
extern const struct choice performer_class_choice[]; /* of a table: with 'unknown' */
extern const struct choice confidence_choice[];      /* of a rule in its source */
extern const struct choice exposure_cause_choice[];
extern const struct choice wash_method_choice[];
extern const struct choice washer_choice[];
extern const struct choice field_test_choice[];
extern const struct choice field_test_result_choice[];
extern const struct choice field_test_state_choice[];
extern const struct choice interface_answer_choice[];
extern const struct choice fit_state_choice[];
extern const struct choice laboratory_choice[];
extern const struct choice extent_choice[];
extern const struct choice drying_choice[];
extern const struct choice hold_container_choice[];
extern const struct choice custody_purpose_choice[];
extern const struct choice inspection_kind_choice[];
extern const struct choice face_choice[];
extern const struct choice side_choice[];
extern const struct choice figure_view_choice[];
extern const struct choice severity_choice[];
extern const struct choice finding_state_choice[];
extern const struct choice dispatch_state_choice[];
extern const struct choice repair_result_choice[];
extern const struct choice conclusion_choice[];
extern const struct choice retirement_ground_choice[];
extern const struct choice disposal_way_choice[];
extern const struct choice training_use_choice[];
extern const struct choice safety_action_choice[];
extern const struct choice safety_answer_choice[];
extern const struct choice safety_hit_choice[];

#endif
