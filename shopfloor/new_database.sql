-- step staff.0001_initial
-- step account.0001_initial
-- step account.0002_email_max_length
-- step account.0003_alter_emailaddress_create_unique_verified_email
-- step account.0004_alter_emailaddress_drop_unique_email
-- step account.0005_emailaddress_idx_upper_email
-- step account.0006_emailaddress_lower
-- step account.0007_emailaddress_idx_email
-- step account.0008_emailaddress_unique_primary_email_fixup
-- step account.0009_emailaddress_unique_primary_email
-- step commands.0001_initial
-- step vessels.0001_initial
-- step parts.0001_initial
-- step workorders.0001_initial
-- step workorders.0002_labor
-- step workorders.0003_kept_taxes
-- step vessels.0002_the_job_of_an_entry
-- step vessels.0003_journal_in_anchors
-- step appointments.0001_initial
-- step contenttypes.0001_initial
-- step contenttypes.0002_remove_content_type_name
-- step auth.0001_initial
-- step auth.0002_alter_permission_name_max_length
-- step auth.0003_alter_user_email_max_length
-- step auth.0004_alter_user_username_opts
-- step auth.0005_alter_user_last_login_null
-- step auth.0006_require_contenttypes_0002
-- step auth.0007_alter_validators_add_error_messages
-- step auth.0008_alter_user_username_max_length
-- step auth.0009_alter_user_last_name_max_length
-- step auth.0010_alter_group_name_max_length
-- step auth.0011_update_proxy_permissions
-- step auth.0012_alter_user_first_name_max_length
-- step workorders.0004_labor_by_day
-- step vessels.0004_moves_by_time
-- step workorders.0005_job_lists
-- step workorders.0006_charge_again
-- step workorders.0007_discounts
-- step workorders.0008_labor_of_a_line
-- step authorizations.0001_initial
-- step authorizations.0002_answers_signatures_and_deferred_work
-- step authorizations.0003_rules_that_are_kept
-- step authorizations.0004_stopped_charges
-- step authorizations.0005_papers_that_are_kept
-- step authorizations.0006_time_and_materials
-- step authorizations.0007_taxes_of_answers
-- step authorizations.0008_stopped_with_others
-- step calendar.0001_initial
-- step calendar.0002_events_as_written
-- step calls.0001_initial
-- step canlogs.0001_initial
-- step documents.0001_initial
-- step documents.0002_notice
-- step estimates.0001_initial
-- step estimates.0002_core_charges
-- step estimates.0003_core_that_comes_back
-- step instruments.0001_initial
-- step faults.0001_initial
-- step faults.0002_gone_before_a_clear
-- step faults.0003_not_fixed_yet
-- step faults.0004_no_clear_in_between
-- step faults.0005_codes_told_in_two_ways
-- step faults.0006_days_of_the_calendar
-- step faults.0007_codes_of_the_older_data_link
-- step faults.0008_days_of_an_engine_that_ran
-- step faults.0009_codes_of_another_kind
-- step faults.0010_a_permanent_copy_alone
-- step faults.0011_cleared_again
-- step faults.0012_back_between_two_scans
-- step vessels.0005_codes_of_the_older_data_link
-- step happenings.0001_visual_findings
-- step happenings.0002_function_tests
-- step happenings.0003_settings
-- step workorders.0009_core_charges
-- step workorders.0010_moves_in_time
-- step invoices.0001_initial
-- step invoices.0002_drawn_papers
-- step invoices.0003_papers_by_day
-- step invoices.0004_checks_are_found_by_number
-- step invoices.0005_open_is_kept
-- step invoices.0006_what_is_left_of_payments
-- step invoices.0007_write_off_on_no_invoice
-- step invoices.0008_credits_over_nothing
-- step invoices.0009_country_of_kosovo
-- step invoices.0010_still_to_invoice
-- step jobparts.0001_initial
-- step jobparts.0002_deliveries_of_an_order
-- step mfa.0001_initial
-- step mfa.0002_authenticator_timestamps
-- step mfa.0003_authenticator_type_uniq
-- step readings.0001_initial
-- step readings.0002_saved_sheets
-- step readings.0003_learned_names
-- step readings.0004_cards_for_some_engines
-- step readings.0005_limits_are_revised
-- step readings.0006_words_of_cards_are_kept
-- step readings.0007_why_nothing_judged
-- step reports.0001_initial
-- step reports.0002_reviewed_alone
-- step sessions.0001_initial
-- step staff.0002_labor_step
-- step taxes.0001_initial
-- step staff.0003_taxes_moved
-- step staff.0004_technicians
-- step staff.0005_words_of_prices
-- step taxes.0002_capped_and_on_another_tax
-- step upkeep.0001_initial
-- step upkeep.0002_letters
-- step upkeep.0003_judgments
-- step upkeep.0004_the_kit_of_a_plan
CREATE FUNCTION public._pgtrigger_should_ignore(trigger_name name) RETURNS boolean
    LANGUAGE plpgsql
    AS $$
                DECLARE
                    _pgtrigger_ignore TEXT[];
                    _result BOOLEAN;
                BEGIN
                    BEGIN
                        SELECT INTO _pgtrigger_ignore
                            CURRENT_SETTING('pgtrigger.ignore');
                        EXCEPTION WHEN OTHERS THEN
                    END;
                    IF _pgtrigger_ignore IS NOT NULL THEN
                        SELECT trigger_name = ANY(_pgtrigger_ignore)
                        INTO _result;
                        RETURN _result;
                    ELSE
                        RETURN FALSE;
                    END IF;
                END;
            $$;
CREATE FUNCTION public.garboard_append_only() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
BEGIN
    RAISE EXCEPTION 'The vessel log is append-only: % on % is refused. Write an amending entry.', TG_OP, TG_TABLE_NAME
        USING ERRCODE = 'restrict_violation';
END;
$$;
CREATE FUNCTION public.garboard_invoice_stands() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
DECLARE
    named text := CASE TG_TABLE_NAME WHEN 'invoices_invoice' THEN 'id' ELSE 'invoice_id' END;
    key bigint := (to_jsonb(NEW) ->> named)::bigint;
BEGIN
    IF key IS NOT NULL THEN
        DELETE FROM invoices_openinvoice WHERE invoice_id = key;
        INSERT INTO invoices_openinvoice (invoice_id, open)
        SELECT * FROM (
    SELECT invoice.id AS invoice_id, invoice.total
        - COALESCE((SELECT sum(amount) FROM invoices_use WHERE invoice_id = invoice.id), 0)
        - COALESCE((SELECT sum(total) FROM invoices_creditnote WHERE invoice_id = invoice.id), 0)
        - COALESCE((SELECT sum(amount) FROM invoices_writeoff WHERE invoice_id = invoice.id), 0) AS open
    FROM invoices_invoice invoice
 WHERE invoice.id = key) standing WHERE standing.open <> 0;
    END IF;
    RETURN NULL;
END $$;
CREATE FUNCTION public.garboard_move_in_time() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
BEGIN
    IF NEW.kind IN ('job-opened', 'job-moved') THEN
        INSERT INTO workorders_moveintime (entry_id, job_id, state, position, happened_at, recorded_at) SELECT entry_id, job_id, state, position, happened_at, recorded_at FROM (
    SELECT entry.id AS entry_id, entry.job_id, move.to_state AS state, entry.position, entry.happened_at, entry.recorded_at
    FROM vessels_logentry entry JOIN workorders_jobmove move ON move.entry_id = entry.id
    WHERE entry.kind IN ('job-opened', 'job-moved') AND entry.job_id IS NOT NULL
 AND entry.id = NEW.id) move;
    END IF;
    RETURN NULL;
END $$;
CREATE FUNCTION public.garboard_payment_rests() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
DECLARE
    named text := CASE TG_TABLE_NAME WHEN 'invoices_payment' THEN 'id' ELSE 'payment_id' END;
    key bigint := (to_jsonb(NEW) ->> named)::bigint;
BEGIN
    DELETE FROM invoices_paymentrest WHERE payment_id = key;
    INSERT INTO invoices_paymentrest (payment_id, rest)
    SELECT * FROM (
    SELECT payment.id AS payment_id, payment.amount
        - COALESCE((SELECT sum(amount) FROM invoices_use WHERE payment_id = payment.id), 0) AS rest
    FROM invoices_payment payment WHERE payment.kind = 'received'
 AND payment.id = key) resting WHERE resting.rest <> 0;
    RETURN NULL;
END $$;
CREATE FUNCTION public.garboard_service_stale() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
DECLARE
    was jsonb := CASE WHEN TG_OP = 'INSERT' THEN NULL ELSE to_jsonb(OLD) END;
    now jsonb := CASE WHEN TG_OP = 'DELETE' THEN NULL ELSE to_jsonb(NEW) END;
    of_what text := TG_ARGV[0];
    by_what text := TG_ARGV[1];
    counts boolean := TG_NARGS = 2 OR TG_OP <> 'UPDATE';
    keys bigint[];
BEGIN
    FOR column_at IN 2 .. TG_NARGS - 1 LOOP
        counts := counts OR (was ->> TG_ARGV[column_at]) IS DISTINCT FROM (now ->> TG_ARGV[column_at]);
    END LOOP;
    IF counts THEN
        keys := ARRAY[(was ->> by_what)::bigint, (now ->> by_what)::bigint];
        INSERT INTO upkeep_stalemark (adoption_id)
        SELECT adoption.id FROM upkeep_adoption adoption
        WHERE CASE of_what
            WHEN 'adoption' THEN adoption.id = ANY(keys)
            WHEN 'plan' THEN adoption.plan_id = ANY(keys) AND adoption.ended_at IS NULL
            WHEN 'engine' THEN adoption.engine_id = ANY(keys) AND adoption.ended_at IS NULL
            WHEN 'vessel' THEN adoption.ended_at IS NULL
                AND adoption.engine_id IN (SELECT id FROM vessels_engine WHERE vessel_id = ANY(keys))
            WHEN 'owner' THEN adoption.ended_at IS NULL
                AND adoption.engine_id IN (SELECT engine.id FROM vessels_engine engine
                    JOIN vessels_vessel vessel ON vessel.id = engine.vessel_id WHERE vessel.owner_id = ANY(keys))
            ELSE adoption.ended_at IS NULL END;
    END IF;
    RETURN NULL;
END $$;
CREATE FUNCTION public.garboard_service_stale_by_entry() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
BEGIN
    IF NEW.engine_hours IS NOT NULL OR NEW.amends_id IS NOT NULL OR NEW.kind = 'service-done' THEN
        INSERT INTO upkeep_stalemark (adoption_id)
        SELECT adoption.id FROM upkeep_adoption adoption
        WHERE adoption.ended_at IS NULL AND adoption.engine_id IN (
            SELECT NEW.engine_id UNION SELECT engine_id FROM vessels_logentry WHERE id = NEW.amends_id);
    END IF;
    RETURN NULL;
END $$;
CREATE FUNCTION public.pgtrigger_account_event_stays_9fb6e() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
                
                BEGIN
                    IF ("public"._pgtrigger_should_ignore(TG_NAME) IS TRUE) THEN
                        IF (TG_OP = 'DELETE') THEN
                            RETURN OLD;
                        ELSE
                            RETURN NEW;
                        END IF;
                    END IF;
                    RAISE EXCEPTION 'pgtrigger: Cannot update or delete rows from % table', TG_TABLE_NAME;
                END;
            $$;
CREATE FUNCTION public.pgtrigger_keeps_open_1e172() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
                
                BEGIN
                    IF ("public"._pgtrigger_should_ignore(TG_NAME) IS TRUE) THEN
                        IF (TG_OP = 'DELETE') THEN
                            RETURN OLD;
                        ELSE
                            RETURN NEW;
                        END IF;
                    END IF;
                    RETURN NULL;
                END;
            $$;
CREATE FUNCTION public.pgtrigger_keeps_open_4fd61() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
                
                BEGIN
                    IF ("public"._pgtrigger_should_ignore(TG_NAME) IS TRUE) THEN
                        IF (TG_OP = 'DELETE') THEN
                            RETURN OLD;
                        ELSE
                            RETURN NEW;
                        END IF;
                    END IF;
                    RETURN NULL;
                END;
            $$;
CREATE FUNCTION public.pgtrigger_keeps_open_653c3() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
                
                BEGIN
                    IF ("public"._pgtrigger_should_ignore(TG_NAME) IS TRUE) THEN
                        IF (TG_OP = 'DELETE') THEN
                            RETURN OLD;
                        ELSE
                            RETURN NEW;
                        END IF;
                    END IF;
                    RETURN NULL;
                END;
            $$;
CREATE FUNCTION public.pgtrigger_keeps_open_d8eae() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
                
                BEGIN
                    IF ("public"._pgtrigger_should_ignore(TG_NAME) IS TRUE) THEN
                        IF (TG_OP = 'DELETE') THEN
                            RETURN OLD;
                        ELSE
                            RETURN NEW;
                        END IF;
                    END IF;
                    RETURN NULL;
                END;
            $$;
CREATE FUNCTION public.pgtrigger_keeps_rest_60ee3() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
                
                BEGIN
                    IF ("public"._pgtrigger_should_ignore(TG_NAME) IS TRUE) THEN
                        IF (TG_OP = 'DELETE') THEN
                            RETURN OLD;
                        ELSE
                            RETURN NEW;
                        END IF;
                    END IF;
                    RETURN NULL;
                END;
            $$;
CREATE FUNCTION public.pgtrigger_keeps_rest_a37b1() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
                
                BEGIN
                    IF ("public"._pgtrigger_should_ignore(TG_NAME) IS TRUE) THEN
                        IF (TG_OP = 'DELETE') THEN
                            RETURN OLD;
                        ELSE
                            RETURN NEW;
                        END IF;
                    END IF;
                    RETURN NULL;
                END;
            $$;
CREATE FUNCTION public.pgtrigger_no_change_0207c() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
                
                BEGIN
                    IF ("public"._pgtrigger_should_ignore(TG_NAME) IS TRUE) THEN
                        IF (TG_OP = 'DELETE') THEN
                            RETURN OLD;
                        ELSE
                            RETURN NEW;
                        END IF;
                    END IF;
                    RETURN NULL;
                END;
            $$;
CREATE FUNCTION public.pgtrigger_no_change_02cef() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
                
                BEGIN
                    IF ("public"._pgtrigger_should_ignore(TG_NAME) IS TRUE) THEN
                        IF (TG_OP = 'DELETE') THEN
                            RETURN OLD;
                        ELSE
                            RETURN NEW;
                        END IF;
                    END IF;
                    RETURN NULL;
                END;
            $$;
CREATE FUNCTION public.pgtrigger_no_change_040a9() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
                
                BEGIN
                    IF ("public"._pgtrigger_should_ignore(TG_NAME) IS TRUE) THEN
                        IF (TG_OP = 'DELETE') THEN
                            RETURN OLD;
                        ELSE
                            RETURN NEW;
                        END IF;
                    END IF;
                    RETURN NULL;
                END;
            $$;
CREATE FUNCTION public.pgtrigger_no_change_048ec() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
                
                BEGIN
                    IF ("public"._pgtrigger_should_ignore(TG_NAME) IS TRUE) THEN
                        IF (TG_OP = 'DELETE') THEN
                            RETURN OLD;
                        ELSE
                            RETURN NEW;
                        END IF;
                    END IF;
                    RETURN NULL;
                END;
            $$;
CREATE FUNCTION public.pgtrigger_no_change_0734b() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
                
                BEGIN
                    IF ("public"._pgtrigger_should_ignore(TG_NAME) IS TRUE) THEN
                        IF (TG_OP = 'DELETE') THEN
                            RETURN OLD;
                        ELSE
                            RETURN NEW;
                        END IF;
                    END IF;
                    RETURN NULL;
                END;
            $$;
CREATE FUNCTION public.pgtrigger_no_change_094a7() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
                
                BEGIN
                    IF ("public"._pgtrigger_should_ignore(TG_NAME) IS TRUE) THEN
                        IF (TG_OP = 'DELETE') THEN
                            RETURN OLD;
                        ELSE
                            RETURN NEW;
                        END IF;
                    END IF;
                    RETURN NULL;
                END;
            $$;
CREATE FUNCTION public.pgtrigger_no_change_0f1d2() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
                
                BEGIN
                    IF ("public"._pgtrigger_should_ignore(TG_NAME) IS TRUE) THEN
                        IF (TG_OP = 'DELETE') THEN
                            RETURN OLD;
                        ELSE
                            RETURN NEW;
                        END IF;
                    END IF;
                    RETURN NULL;
                END;
            $$;
CREATE FUNCTION public.pgtrigger_no_change_266a7() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
                
                BEGIN
                    IF ("public"._pgtrigger_should_ignore(TG_NAME) IS TRUE) THEN
                        IF (TG_OP = 'DELETE') THEN
                            RETURN OLD;
                        ELSE
                            RETURN NEW;
                        END IF;
                    END IF;
                    RETURN NULL;
                END;
            $$;
CREATE FUNCTION public.pgtrigger_no_change_3771e() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
                
                BEGIN
                    IF ("public"._pgtrigger_should_ignore(TG_NAME) IS TRUE) THEN
                        IF (TG_OP = 'DELETE') THEN
                            RETURN OLD;
                        ELSE
                            RETURN NEW;
                        END IF;
                    END IF;
                    RETURN NULL;
                END;
            $$;
CREATE FUNCTION public.pgtrigger_no_change_383ee() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
                
                BEGIN
                    IF ("public"._pgtrigger_should_ignore(TG_NAME) IS TRUE) THEN
                        IF (TG_OP = 'DELETE') THEN
                            RETURN OLD;
                        ELSE
                            RETURN NEW;
                        END IF;
                    END IF;
                    RETURN NULL;
                END;
            $$;
CREATE FUNCTION public.pgtrigger_no_change_388e5() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
                
                BEGIN
                    IF ("public"._pgtrigger_should_ignore(TG_NAME) IS TRUE) THEN
                        IF (TG_OP = 'DELETE') THEN
                            RETURN OLD;
                        ELSE
                            RETURN NEW;
                        END IF;
                    END IF;
                    RETURN NULL;
                END;
            $$;
CREATE FUNCTION public.pgtrigger_no_change_47ad9() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
                
                BEGIN
                    IF ("public"._pgtrigger_should_ignore(TG_NAME) IS TRUE) THEN
                        IF (TG_OP = 'DELETE') THEN
                            RETURN OLD;
                        ELSE
                            RETURN NEW;
                        END IF;
                    END IF;
                    RETURN NULL;
                END;
            $$;
CREATE FUNCTION public.pgtrigger_no_change_4869c() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
                
                BEGIN
                    IF ("public"._pgtrigger_should_ignore(TG_NAME) IS TRUE) THEN
                        IF (TG_OP = 'DELETE') THEN
                            RETURN OLD;
                        ELSE
                            RETURN NEW;
                        END IF;
                    END IF;
                    RETURN NULL;
                END;
            $$;
CREATE FUNCTION public.pgtrigger_no_change_4aaa2() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
                
                BEGIN
                    IF ("public"._pgtrigger_should_ignore(TG_NAME) IS TRUE) THEN
                        IF (TG_OP = 'DELETE') THEN
                            RETURN OLD;
                        ELSE
                            RETURN NEW;
                        END IF;
                    END IF;
                    RETURN NULL;
                END;
            $$;
CREATE FUNCTION public.pgtrigger_no_change_50878() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
                
                BEGIN
                    IF ("public"._pgtrigger_should_ignore(TG_NAME) IS TRUE) THEN
                        IF (TG_OP = 'DELETE') THEN
                            RETURN OLD;
                        ELSE
                            RETURN NEW;
                        END IF;
                    END IF;
                    RETURN NULL;
                END;
            $$;
CREATE FUNCTION public.pgtrigger_no_change_5698c() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
                
                BEGIN
                    IF ("public"._pgtrigger_should_ignore(TG_NAME) IS TRUE) THEN
                        IF (TG_OP = 'DELETE') THEN
                            RETURN OLD;
                        ELSE
                            RETURN NEW;
                        END IF;
                    END IF;
                    RETURN NULL;
                END;
            $$;
CREATE FUNCTION public.pgtrigger_no_change_58313() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
                
                BEGIN
                    IF ("public"._pgtrigger_should_ignore(TG_NAME) IS TRUE) THEN
                        IF (TG_OP = 'DELETE') THEN
                            RETURN OLD;
                        ELSE
                            RETURN NEW;
                        END IF;
                    END IF;
                    RETURN NULL;
                END;
            $$;
CREATE FUNCTION public.pgtrigger_no_change_58714() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
                
                BEGIN
                    IF ("public"._pgtrigger_should_ignore(TG_NAME) IS TRUE) THEN
                        IF (TG_OP = 'DELETE') THEN
                            RETURN OLD;
                        ELSE
                            RETURN NEW;
                        END IF;
                    END IF;
                    RETURN NULL;
                END;
            $$;
CREATE FUNCTION public.pgtrigger_no_change_589a1() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
                
                BEGIN
                    IF ("public"._pgtrigger_should_ignore(TG_NAME) IS TRUE) THEN
                        IF (TG_OP = 'DELETE') THEN
                            RETURN OLD;
                        ELSE
                            RETURN NEW;
                        END IF;
                    END IF;
                    RETURN NULL;
                END;
            $$;
CREATE FUNCTION public.pgtrigger_no_change_5a143() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
                
                BEGIN
                    IF ("public"._pgtrigger_should_ignore(TG_NAME) IS TRUE) THEN
                        IF (TG_OP = 'DELETE') THEN
                            RETURN OLD;
                        ELSE
                            RETURN NEW;
                        END IF;
                    END IF;
                    RETURN NULL;
                END;
            $$;
CREATE FUNCTION public.pgtrigger_no_change_5e5f6() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
                
                BEGIN
                    IF ("public"._pgtrigger_should_ignore(TG_NAME) IS TRUE) THEN
                        IF (TG_OP = 'DELETE') THEN
                            RETURN OLD;
                        ELSE
                            RETURN NEW;
                        END IF;
                    END IF;
                    RETURN NULL;
                END;
            $$;
CREATE FUNCTION public.pgtrigger_no_change_5f36e() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
                
                BEGIN
                    IF ("public"._pgtrigger_should_ignore(TG_NAME) IS TRUE) THEN
                        IF (TG_OP = 'DELETE') THEN
                            RETURN OLD;
                        ELSE
                            RETURN NEW;
                        END IF;
                    END IF;
                    RETURN NULL;
                END;
            $$;
CREATE FUNCTION public.pgtrigger_no_change_6d775() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
                
                BEGIN
                    IF ("public"._pgtrigger_should_ignore(TG_NAME) IS TRUE) THEN
                        IF (TG_OP = 'DELETE') THEN
                            RETURN OLD;
                        ELSE
                            RETURN NEW;
                        END IF;
                    END IF;
                    RETURN NULL;
                END;
            $$;
CREATE FUNCTION public.pgtrigger_no_change_719ff() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
                
                BEGIN
                    IF ("public"._pgtrigger_should_ignore(TG_NAME) IS TRUE) THEN
                        IF (TG_OP = 'DELETE') THEN
                            RETURN OLD;
                        ELSE
                            RETURN NEW;
                        END IF;
                    END IF;
                    RETURN NULL;
                END;
            $$;
CREATE FUNCTION public.pgtrigger_no_change_74d8b() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
                
                BEGIN
                    IF ("public"._pgtrigger_should_ignore(TG_NAME) IS TRUE) THEN
                        IF (TG_OP = 'DELETE') THEN
                            RETURN OLD;
                        ELSE
                            RETURN NEW;
                        END IF;
                    END IF;
                    RETURN NULL;
                END;
            $$;
CREATE FUNCTION public.pgtrigger_no_change_757ad() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
                
                BEGIN
                    IF ("public"._pgtrigger_should_ignore(TG_NAME) IS TRUE) THEN
                        IF (TG_OP = 'DELETE') THEN
                            RETURN OLD;
                        ELSE
                            RETURN NEW;
                        END IF;
                    END IF;
                    RETURN NULL;
                END;
            $$;
CREATE FUNCTION public.pgtrigger_no_change_76bf9() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
                
                BEGIN
                    IF ("public"._pgtrigger_should_ignore(TG_NAME) IS TRUE) THEN
                        IF (TG_OP = 'DELETE') THEN
                            RETURN OLD;
                        ELSE
                            RETURN NEW;
                        END IF;
                    END IF;
                    RETURN NULL;
                END;
            $$;
CREATE FUNCTION public.pgtrigger_no_change_7903d() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
                
                BEGIN
                    IF ("public"._pgtrigger_should_ignore(TG_NAME) IS TRUE) THEN
                        IF (TG_OP = 'DELETE') THEN
                            RETURN OLD;
                        ELSE
                            RETURN NEW;
                        END IF;
                    END IF;
                    RETURN NULL;
                END;
            $$;
CREATE FUNCTION public.pgtrigger_no_change_7f2da() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
                
                BEGIN
                    IF ("public"._pgtrigger_should_ignore(TG_NAME) IS TRUE) THEN
                        IF (TG_OP = 'DELETE') THEN
                            RETURN OLD;
                        ELSE
                            RETURN NEW;
                        END IF;
                    END IF;
                    RETURN NULL;
                END;
            $$;
CREATE FUNCTION public.pgtrigger_no_change_85af1() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
                
                BEGIN
                    IF ("public"._pgtrigger_should_ignore(TG_NAME) IS TRUE) THEN
                        IF (TG_OP = 'DELETE') THEN
                            RETURN OLD;
                        ELSE
                            RETURN NEW;
                        END IF;
                    END IF;
                    RETURN NULL;
                END;
            $$;
CREATE FUNCTION public.pgtrigger_no_change_872ab() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
                
                BEGIN
                    IF ("public"._pgtrigger_should_ignore(TG_NAME) IS TRUE) THEN
                        IF (TG_OP = 'DELETE') THEN
                            RETURN OLD;
                        ELSE
                            RETURN NEW;
                        END IF;
                    END IF;
                    RETURN NULL;
                END;
            $$;
CREATE FUNCTION public.pgtrigger_no_change_880a2() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
                
                BEGIN
                    IF ("public"._pgtrigger_should_ignore(TG_NAME) IS TRUE) THEN
                        IF (TG_OP = 'DELETE') THEN
                            RETURN OLD;
                        ELSE
                            RETURN NEW;
                        END IF;
                    END IF;
                    RETURN NULL;
                END;
            $$;
CREATE FUNCTION public.pgtrigger_no_change_8cfaf() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
                
                BEGIN
                    IF ("public"._pgtrigger_should_ignore(TG_NAME) IS TRUE) THEN
                        IF (TG_OP = 'DELETE') THEN
                            RETURN OLD;
                        ELSE
                            RETURN NEW;
                        END IF;
                    END IF;
                    RETURN NULL;
                END;
            $$;
CREATE FUNCTION public.pgtrigger_no_change_93cd9() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
                
                BEGIN
                    IF ("public"._pgtrigger_should_ignore(TG_NAME) IS TRUE) THEN
                        IF (TG_OP = 'DELETE') THEN
                            RETURN OLD;
                        ELSE
                            RETURN NEW;
                        END IF;
                    END IF;
                    RETURN NULL;
                END;
            $$;
CREATE FUNCTION public.pgtrigger_no_change_96fd8() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
                
                BEGIN
                    IF ("public"._pgtrigger_should_ignore(TG_NAME) IS TRUE) THEN
                        IF (TG_OP = 'DELETE') THEN
                            RETURN OLD;
                        ELSE
                            RETURN NEW;
                        END IF;
                    END IF;
                    RETURN NULL;
                END;
            $$;
CREATE FUNCTION public.pgtrigger_no_change_b577d() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
                
                BEGIN
                    IF ("public"._pgtrigger_should_ignore(TG_NAME) IS TRUE) THEN
                        IF (TG_OP = 'DELETE') THEN
                            RETURN OLD;
                        ELSE
                            RETURN NEW;
                        END IF;
                    END IF;
                    RETURN NULL;
                END;
            $$;
CREATE FUNCTION public.pgtrigger_no_change_be580() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
                
                BEGIN
                    IF ("public"._pgtrigger_should_ignore(TG_NAME) IS TRUE) THEN
                        IF (TG_OP = 'DELETE') THEN
                            RETURN OLD;
                        ELSE
                            RETURN NEW;
                        END IF;
                    END IF;
                    RETURN NULL;
                END;
            $$;
CREATE FUNCTION public.pgtrigger_no_change_c30a6() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
                
                BEGIN
                    IF ("public"._pgtrigger_should_ignore(TG_NAME) IS TRUE) THEN
                        IF (TG_OP = 'DELETE') THEN
                            RETURN OLD;
                        ELSE
                            RETURN NEW;
                        END IF;
                    END IF;
                    RETURN NULL;
                END;
            $$;
CREATE FUNCTION public.pgtrigger_no_change_c70e7() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
                
                BEGIN
                    IF ("public"._pgtrigger_should_ignore(TG_NAME) IS TRUE) THEN
                        IF (TG_OP = 'DELETE') THEN
                            RETURN OLD;
                        ELSE
                            RETURN NEW;
                        END IF;
                    END IF;
                    RETURN NULL;
                END;
            $$;
CREATE FUNCTION public.pgtrigger_no_change_d1d39() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
                
                BEGIN
                    IF ("public"._pgtrigger_should_ignore(TG_NAME) IS TRUE) THEN
                        IF (TG_OP = 'DELETE') THEN
                            RETURN OLD;
                        ELSE
                            RETURN NEW;
                        END IF;
                    END IF;
                    RETURN NULL;
                END;
            $$;
CREATE FUNCTION public.pgtrigger_no_change_d7af9() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
                
                BEGIN
                    IF ("public"._pgtrigger_should_ignore(TG_NAME) IS TRUE) THEN
                        IF (TG_OP = 'DELETE') THEN
                            RETURN OLD;
                        ELSE
                            RETURN NEW;
                        END IF;
                    END IF;
                    RETURN NULL;
                END;
            $$;
CREATE FUNCTION public.pgtrigger_no_change_d7b08() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
                
                BEGIN
                    IF ("public"._pgtrigger_should_ignore(TG_NAME) IS TRUE) THEN
                        IF (TG_OP = 'DELETE') THEN
                            RETURN OLD;
                        ELSE
                            RETURN NEW;
                        END IF;
                    END IF;
                    RETURN NULL;
                END;
            $$;
CREATE FUNCTION public.pgtrigger_no_change_e35b2() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
                
                BEGIN
                    IF ("public"._pgtrigger_should_ignore(TG_NAME) IS TRUE) THEN
                        IF (TG_OP = 'DELETE') THEN
                            RETURN OLD;
                        ELSE
                            RETURN NEW;
                        END IF;
                    END IF;
                    RETURN NULL;
                END;
            $$;
CREATE FUNCTION public.pgtrigger_no_change_e967e() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
                
                BEGIN
                    IF ("public"._pgtrigger_should_ignore(TG_NAME) IS TRUE) THEN
                        IF (TG_OP = 'DELETE') THEN
                            RETURN OLD;
                        ELSE
                            RETURN NEW;
                        END IF;
                    END IF;
                    RETURN NULL;
                END;
            $$;
CREATE FUNCTION public.pgtrigger_no_change_ea6c6() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
                
                BEGIN
                    IF ("public"._pgtrigger_should_ignore(TG_NAME) IS TRUE) THEN
                        IF (TG_OP = 'DELETE') THEN
                            RETURN OLD;
                        ELSE
                            RETURN NEW;
                        END IF;
                    END IF;
                    RETURN NULL;
                END;
            $$;
CREATE FUNCTION public.pgtrigger_no_change_ecf15() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
                
                BEGIN
                    IF ("public"._pgtrigger_should_ignore(TG_NAME) IS TRUE) THEN
                        IF (TG_OP = 'DELETE') THEN
                            RETURN OLD;
                        ELSE
                            RETURN NEW;
                        END IF;
                    END IF;
                    RETURN NULL;
                END;
            $$;
CREATE FUNCTION public.pgtrigger_no_change_f3b58() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
                
                BEGIN
                    IF ("public"._pgtrigger_should_ignore(TG_NAME) IS TRUE) THEN
                        IF (TG_OP = 'DELETE') THEN
                            RETURN OLD;
                        ELSE
                            RETURN NEW;
                        END IF;
                    END IF;
                    RETURN NULL;
                END;
            $$;
CREATE FUNCTION public.pgtrigger_no_change_f3b7f() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
                
                BEGIN
                    IF ("public"._pgtrigger_should_ignore(TG_NAME) IS TRUE) THEN
                        IF (TG_OP = 'DELETE') THEN
                            RETURN OLD;
                        ELSE
                            RETURN NEW;
                        END IF;
                    END IF;
                    RETURN NULL;
                END;
            $$;
CREATE FUNCTION public.pgtrigger_no_change_fa332() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
                
                BEGIN
                    IF ("public"._pgtrigger_should_ignore(TG_NAME) IS TRUE) THEN
                        IF (TG_OP = 'DELETE') THEN
                            RETURN OLD;
                        ELSE
                            RETURN NEW;
                        END IF;
                    END IF;
                    RETURN NULL;
                END;
            $$;
CREATE FUNCTION public.pgtrigger_no_change_fac7e() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
                
                BEGIN
                    IF ("public"._pgtrigger_should_ignore(TG_NAME) IS TRUE) THEN
                        IF (TG_OP = 'DELETE') THEN
                            RETURN OLD;
                        ELSE
                            RETURN NEW;
                        END IF;
                    END IF;
                    RETURN NULL;
                END;
            $$;
CREATE FUNCTION public.pgtrigger_no_change_fcfc7() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
                
                BEGIN
                    IF ("public"._pgtrigger_should_ignore(TG_NAME) IS TRUE) THEN
                        IF (TG_OP = 'DELETE') THEN
                            RETURN OLD;
                        ELSE
                            RETURN NEW;
                        END IF;
                    END IF;
                    RETURN NULL;
                END;
            $$;
CREATE FUNCTION public.pgtrigger_no_delete_2a067() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
                
                BEGIN
                    IF ("public"._pgtrigger_should_ignore(TG_NAME) IS TRUE) THEN
                        IF (TG_OP = 'DELETE') THEN
                            RETURN OLD;
                        ELSE
                            RETURN NEW;
                        END IF;
                    END IF;
                    RETURN NULL;
                END;
            $$;
CREATE FUNCTION public.pgtrigger_no_delete_d7641() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
                
                BEGIN
                    IF ("public"._pgtrigger_should_ignore(TG_NAME) IS TRUE) THEN
                        IF (TG_OP = 'DELETE') THEN
                            RETURN OLD;
                        ELSE
                            RETURN NEW;
                        END IF;
                    END IF;
                    RETURN NULL;
                END;
            $$;
CREATE FUNCTION public.pgtrigger_no_delete_eff1b() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
                
                BEGIN
                    IF ("public"._pgtrigger_should_ignore(TG_NAME) IS TRUE) THEN
                        IF (TG_OP = 'DELETE') THEN
                            RETURN OLD;
                        ELSE
                            RETURN NEW;
                        END IF;
                    END IF;
                    RETURN NULL;
                END;
            $$;
CREATE FUNCTION public.pgtrigger_no_other_end_40688() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
                
                BEGIN
                    IF ("public"._pgtrigger_should_ignore(TG_NAME) IS TRUE) THEN
                        IF (TG_OP = 'DELETE') THEN
                            RETURN OLD;
                        ELSE
                            RETURN NEW;
                        END IF;
                    END IF;
                    RETURN NULL;
                END;
            $$;
CREATE FUNCTION public.pgtrigger_no_truncate_0a287() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
                
                BEGIN
                    IF ("public"._pgtrigger_should_ignore(TG_NAME) IS TRUE) THEN
                        IF (TG_OP = 'DELETE') THEN
                            RETURN OLD;
                        ELSE
                            RETURN NEW;
                        END IF;
                    END IF;
                    RETURN NULL;
                END;
            $$;
CREATE FUNCTION public.pgtrigger_no_truncate_0d612() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
                
                BEGIN
                    IF ("public"._pgtrigger_should_ignore(TG_NAME) IS TRUE) THEN
                        IF (TG_OP = 'DELETE') THEN
                            RETURN OLD;
                        ELSE
                            RETURN NEW;
                        END IF;
                    END IF;
                    RETURN NULL;
                END;
            $$;
CREATE FUNCTION public.pgtrigger_no_truncate_12489() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
                
                BEGIN
                    IF ("public"._pgtrigger_should_ignore(TG_NAME) IS TRUE) THEN
                        IF (TG_OP = 'DELETE') THEN
                            RETURN OLD;
                        ELSE
                            RETURN NEW;
                        END IF;
                    END IF;
                    RETURN NULL;
                END;
            $$;
CREATE FUNCTION public.pgtrigger_no_truncate_12f2d() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
                
                BEGIN
                    IF ("public"._pgtrigger_should_ignore(TG_NAME) IS TRUE) THEN
                        IF (TG_OP = 'DELETE') THEN
                            RETURN OLD;
                        ELSE
                            RETURN NEW;
                        END IF;
                    END IF;
                    RETURN NULL;
                END;
            $$;
CREATE FUNCTION public.pgtrigger_no_truncate_13e7a() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
                
                BEGIN
                    IF ("public"._pgtrigger_should_ignore(TG_NAME) IS TRUE) THEN
                        IF (TG_OP = 'DELETE') THEN
                            RETURN OLD;
                        ELSE
                            RETURN NEW;
                        END IF;
                    END IF;
                    RETURN NULL;
                END;
            $$;
CREATE FUNCTION public.pgtrigger_no_truncate_17038() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
                
                BEGIN
                    IF ("public"._pgtrigger_should_ignore(TG_NAME) IS TRUE) THEN
                        IF (TG_OP = 'DELETE') THEN
                            RETURN OLD;
                        ELSE
                            RETURN NEW;
                        END IF;
                    END IF;
                    RETURN NULL;
                END;
            $$;
CREATE FUNCTION public.pgtrigger_no_truncate_17995() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
                
                BEGIN
                    IF ("public"._pgtrigger_should_ignore(TG_NAME) IS TRUE) THEN
                        IF (TG_OP = 'DELETE') THEN
                            RETURN OLD;
                        ELSE
                            RETURN NEW;
                        END IF;
                    END IF;
                    RETURN NULL;
                END;
            $$;
CREATE FUNCTION public.pgtrigger_no_truncate_2179b() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
                
                BEGIN
                    IF ("public"._pgtrigger_should_ignore(TG_NAME) IS TRUE) THEN
                        IF (TG_OP = 'DELETE') THEN
                            RETURN OLD;
                        ELSE
                            RETURN NEW;
                        END IF;
                    END IF;
                    RETURN NULL;
                END;
            $$;
CREATE FUNCTION public.pgtrigger_no_truncate_21b46() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
                
                BEGIN
                    IF ("public"._pgtrigger_should_ignore(TG_NAME) IS TRUE) THEN
                        IF (TG_OP = 'DELETE') THEN
                            RETURN OLD;
                        ELSE
                            RETURN NEW;
                        END IF;
                    END IF;
                    RETURN NULL;
                END;
            $$;
CREATE FUNCTION public.pgtrigger_no_truncate_25d6f() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
                
                BEGIN
                    IF ("public"._pgtrigger_should_ignore(TG_NAME) IS TRUE) THEN
                        IF (TG_OP = 'DELETE') THEN
                            RETURN OLD;
                        ELSE
                            RETURN NEW;
                        END IF;
                    END IF;
                    RETURN NULL;
                END;
            $$;
CREATE FUNCTION public.pgtrigger_no_truncate_2a00f() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
                
                BEGIN
                    IF ("public"._pgtrigger_should_ignore(TG_NAME) IS TRUE) THEN
                        IF (TG_OP = 'DELETE') THEN
                            RETURN OLD;
                        ELSE
                            RETURN NEW;
                        END IF;
                    END IF;
                    RETURN NULL;
                END;
            $$;
CREATE FUNCTION public.pgtrigger_no_truncate_31d3b() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
                
                BEGIN
                    IF ("public"._pgtrigger_should_ignore(TG_NAME) IS TRUE) THEN
                        IF (TG_OP = 'DELETE') THEN
                            RETURN OLD;
                        ELSE
                            RETURN NEW;
                        END IF;
                    END IF;
                    RETURN NULL;
                END;
            $$;
CREATE FUNCTION public.pgtrigger_no_truncate_3b4b2() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
                
                BEGIN
                    IF ("public"._pgtrigger_should_ignore(TG_NAME) IS TRUE) THEN
                        IF (TG_OP = 'DELETE') THEN
                            RETURN OLD;
                        ELSE
                            RETURN NEW;
                        END IF;
                    END IF;
                    RETURN NULL;
                END;
            $$;
CREATE FUNCTION public.pgtrigger_no_truncate_3dd72() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
                
                BEGIN
                    IF ("public"._pgtrigger_should_ignore(TG_NAME) IS TRUE) THEN
                        IF (TG_OP = 'DELETE') THEN
                            RETURN OLD;
                        ELSE
                            RETURN NEW;
                        END IF;
                    END IF;
                    RETURN NULL;
                END;
            $$;
CREATE FUNCTION public.pgtrigger_no_truncate_42890() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
                
                BEGIN
                    IF ("public"._pgtrigger_should_ignore(TG_NAME) IS TRUE) THEN
                        IF (TG_OP = 'DELETE') THEN
                            RETURN OLD;
                        ELSE
                            RETURN NEW;
                        END IF;
                    END IF;
                    RETURN NULL;
                END;
            $$;
CREATE FUNCTION public.pgtrigger_no_truncate_4b2e2() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
                
                BEGIN
                    IF ("public"._pgtrigger_should_ignore(TG_NAME) IS TRUE) THEN
                        IF (TG_OP = 'DELETE') THEN
                            RETURN OLD;
                        ELSE
                            RETURN NEW;
                        END IF;
                    END IF;
                    RETURN NULL;
                END;
            $$;
CREATE FUNCTION public.pgtrigger_no_truncate_51cac() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
                
                BEGIN
                    IF ("public"._pgtrigger_should_ignore(TG_NAME) IS TRUE) THEN
                        IF (TG_OP = 'DELETE') THEN
                            RETURN OLD;
                        ELSE
                            RETURN NEW;
                        END IF;
                    END IF;
                    RETURN NULL;
                END;
            $$;
CREATE FUNCTION public.pgtrigger_no_truncate_557ba() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
                
                BEGIN
                    IF ("public"._pgtrigger_should_ignore(TG_NAME) IS TRUE) THEN
                        IF (TG_OP = 'DELETE') THEN
                            RETURN OLD;
                        ELSE
                            RETURN NEW;
                        END IF;
                    END IF;
                    RETURN NULL;
                END;
            $$;
CREATE FUNCTION public.pgtrigger_no_truncate_62722() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
                
                BEGIN
                    IF ("public"._pgtrigger_should_ignore(TG_NAME) IS TRUE) THEN
                        IF (TG_OP = 'DELETE') THEN
                            RETURN OLD;
                        ELSE
                            RETURN NEW;
                        END IF;
                    END IF;
                    RETURN NULL;
                END;
            $$;
CREATE FUNCTION public.pgtrigger_no_truncate_67791() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
                
                BEGIN
                    IF ("public"._pgtrigger_should_ignore(TG_NAME) IS TRUE) THEN
                        IF (TG_OP = 'DELETE') THEN
                            RETURN OLD;
                        ELSE
                            RETURN NEW;
                        END IF;
                    END IF;
                    RETURN NULL;
                END;
            $$;
CREATE FUNCTION public.pgtrigger_no_truncate_71fd1() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
                
                BEGIN
                    IF ("public"._pgtrigger_should_ignore(TG_NAME) IS TRUE) THEN
                        IF (TG_OP = 'DELETE') THEN
                            RETURN OLD;
                        ELSE
                            RETURN NEW;
                        END IF;
                    END IF;
                    RETURN NULL;
                END;
            $$;
CREATE FUNCTION public.pgtrigger_no_truncate_78149() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
                
                BEGIN
                    IF ("public"._pgtrigger_should_ignore(TG_NAME) IS TRUE) THEN
                        IF (TG_OP = 'DELETE') THEN
                            RETURN OLD;
                        ELSE
                            RETURN NEW;
                        END IF;
                    END IF;
                    RETURN NULL;
                END;
            $$;
CREATE FUNCTION public.pgtrigger_no_truncate_78a57() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
                
                BEGIN
                    IF ("public"._pgtrigger_should_ignore(TG_NAME) IS TRUE) THEN
                        IF (TG_OP = 'DELETE') THEN
                            RETURN OLD;
                        ELSE
                            RETURN NEW;
                        END IF;
                    END IF;
                    RETURN NULL;
                END;
            $$;
CREATE FUNCTION public.pgtrigger_no_truncate_7c465() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
                
                BEGIN
                    IF ("public"._pgtrigger_should_ignore(TG_NAME) IS TRUE) THEN
                        IF (TG_OP = 'DELETE') THEN
                            RETURN OLD;
                        ELSE
                            RETURN NEW;
                        END IF;
                    END IF;
                    RETURN NULL;
                END;
            $$;
CREATE FUNCTION public.pgtrigger_no_truncate_7cfa2() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
                
                BEGIN
                    IF ("public"._pgtrigger_should_ignore(TG_NAME) IS TRUE) THEN
                        IF (TG_OP = 'DELETE') THEN
                            RETURN OLD;
                        ELSE
                            RETURN NEW;
                        END IF;
                    END IF;
                    RETURN NULL;
                END;
            $$;
CREATE FUNCTION public.pgtrigger_no_truncate_7f048() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
                
                BEGIN
                    IF ("public"._pgtrigger_should_ignore(TG_NAME) IS TRUE) THEN
                        IF (TG_OP = 'DELETE') THEN
                            RETURN OLD;
                        ELSE
                            RETURN NEW;
                        END IF;
                    END IF;
                    RETURN NULL;
                END;
            $$;
CREATE FUNCTION public.pgtrigger_no_truncate_8371b() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
                
                BEGIN
                    IF ("public"._pgtrigger_should_ignore(TG_NAME) IS TRUE) THEN
                        IF (TG_OP = 'DELETE') THEN
                            RETURN OLD;
                        ELSE
                            RETURN NEW;
                        END IF;
                    END IF;
                    RETURN NULL;
                END;
            $$;
CREATE FUNCTION public.pgtrigger_no_truncate_838b1() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
                
                BEGIN
                    IF ("public"._pgtrigger_should_ignore(TG_NAME) IS TRUE) THEN
                        IF (TG_OP = 'DELETE') THEN
                            RETURN OLD;
                        ELSE
                            RETURN NEW;
                        END IF;
                    END IF;
                    RETURN NULL;
                END;
            $$;
CREATE FUNCTION public.pgtrigger_no_truncate_87437() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
                
                BEGIN
                    IF ("public"._pgtrigger_should_ignore(TG_NAME) IS TRUE) THEN
                        IF (TG_OP = 'DELETE') THEN
                            RETURN OLD;
                        ELSE
                            RETURN NEW;
                        END IF;
                    END IF;
                    RETURN NULL;
                END;
            $$;
CREATE FUNCTION public.pgtrigger_no_truncate_964c8() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
                
                BEGIN
                    IF ("public"._pgtrigger_should_ignore(TG_NAME) IS TRUE) THEN
                        IF (TG_OP = 'DELETE') THEN
                            RETURN OLD;
                        ELSE
                            RETURN NEW;
                        END IF;
                    END IF;
                    RETURN NULL;
                END;
            $$;
CREATE FUNCTION public.pgtrigger_no_truncate_9c19c() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
                
                BEGIN
                    IF ("public"._pgtrigger_should_ignore(TG_NAME) IS TRUE) THEN
                        IF (TG_OP = 'DELETE') THEN
                            RETURN OLD;
                        ELSE
                            RETURN NEW;
                        END IF;
                    END IF;
                    RETURN NULL;
                END;
            $$;
CREATE FUNCTION public.pgtrigger_no_truncate_a0634() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
                
                BEGIN
                    IF ("public"._pgtrigger_should_ignore(TG_NAME) IS TRUE) THEN
                        IF (TG_OP = 'DELETE') THEN
                            RETURN OLD;
                        ELSE
                            RETURN NEW;
                        END IF;
                    END IF;
                    RETURN NULL;
                END;
            $$;
CREATE FUNCTION public.pgtrigger_no_truncate_a507a() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
                
                BEGIN
                    IF ("public"._pgtrigger_should_ignore(TG_NAME) IS TRUE) THEN
                        IF (TG_OP = 'DELETE') THEN
                            RETURN OLD;
                        ELSE
                            RETURN NEW;
                        END IF;
                    END IF;
                    RETURN NULL;
                END;
            $$;
CREATE FUNCTION public.pgtrigger_no_truncate_a724c() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
                
                BEGIN
                    IF ("public"._pgtrigger_should_ignore(TG_NAME) IS TRUE) THEN
                        IF (TG_OP = 'DELETE') THEN
                            RETURN OLD;
                        ELSE
                            RETURN NEW;
                        END IF;
                    END IF;
                    RETURN NULL;
                END;
            $$;
CREATE FUNCTION public.pgtrigger_no_truncate_a9bc0() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
                
                BEGIN
                    IF ("public"._pgtrigger_should_ignore(TG_NAME) IS TRUE) THEN
                        IF (TG_OP = 'DELETE') THEN
                            RETURN OLD;
                        ELSE
                            RETURN NEW;
                        END IF;
                    END IF;
                    RETURN NULL;
                END;
            $$;
CREATE FUNCTION public.pgtrigger_no_truncate_b461c() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
                
                BEGIN
                    IF ("public"._pgtrigger_should_ignore(TG_NAME) IS TRUE) THEN
                        IF (TG_OP = 'DELETE') THEN
                            RETURN OLD;
                        ELSE
                            RETURN NEW;
                        END IF;
                    END IF;
                    RETURN NULL;
                END;
            $$;
CREATE FUNCTION public.pgtrigger_no_truncate_c1a0d() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
                
                BEGIN
                    IF ("public"._pgtrigger_should_ignore(TG_NAME) IS TRUE) THEN
                        IF (TG_OP = 'DELETE') THEN
                            RETURN OLD;
                        ELSE
                            RETURN NEW;
                        END IF;
                    END IF;
                    RETURN NULL;
                END;
            $$;
CREATE FUNCTION public.pgtrigger_no_truncate_c4b37() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
                
                BEGIN
                    IF ("public"._pgtrigger_should_ignore(TG_NAME) IS TRUE) THEN
                        IF (TG_OP = 'DELETE') THEN
                            RETURN OLD;
                        ELSE
                            RETURN NEW;
                        END IF;
                    END IF;
                    RETURN NULL;
                END;
            $$;
CREATE FUNCTION public.pgtrigger_no_truncate_c70cb() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
                
                BEGIN
                    IF ("public"._pgtrigger_should_ignore(TG_NAME) IS TRUE) THEN
                        IF (TG_OP = 'DELETE') THEN
                            RETURN OLD;
                        ELSE
                            RETURN NEW;
                        END IF;
                    END IF;
                    RETURN NULL;
                END;
            $$;
CREATE FUNCTION public.pgtrigger_no_truncate_cce0c() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
                
                BEGIN
                    IF ("public"._pgtrigger_should_ignore(TG_NAME) IS TRUE) THEN
                        IF (TG_OP = 'DELETE') THEN
                            RETURN OLD;
                        ELSE
                            RETURN NEW;
                        END IF;
                    END IF;
                    RETURN NULL;
                END;
            $$;
CREATE FUNCTION public.pgtrigger_no_truncate_d1c98() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
                
                BEGIN
                    IF ("public"._pgtrigger_should_ignore(TG_NAME) IS TRUE) THEN
                        IF (TG_OP = 'DELETE') THEN
                            RETURN OLD;
                        ELSE
                            RETURN NEW;
                        END IF;
                    END IF;
                    RETURN NULL;
                END;
            $$;
CREATE FUNCTION public.pgtrigger_no_truncate_d44b6() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
                
                BEGIN
                    IF ("public"._pgtrigger_should_ignore(TG_NAME) IS TRUE) THEN
                        IF (TG_OP = 'DELETE') THEN
                            RETURN OLD;
                        ELSE
                            RETURN NEW;
                        END IF;
                    END IF;
                    RETURN NULL;
                END;
            $$;
CREATE FUNCTION public.pgtrigger_no_truncate_d9f07() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
                
                BEGIN
                    IF ("public"._pgtrigger_should_ignore(TG_NAME) IS TRUE) THEN
                        IF (TG_OP = 'DELETE') THEN
                            RETURN OLD;
                        ELSE
                            RETURN NEW;
                        END IF;
                    END IF;
                    RETURN NULL;
                END;
            $$;
CREATE FUNCTION public.pgtrigger_no_truncate_db2dd() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
                
                BEGIN
                    IF ("public"._pgtrigger_should_ignore(TG_NAME) IS TRUE) THEN
                        IF (TG_OP = 'DELETE') THEN
                            RETURN OLD;
                        ELSE
                            RETURN NEW;
                        END IF;
                    END IF;
                    RETURN NULL;
                END;
            $$;
CREATE FUNCTION public.pgtrigger_no_truncate_dbe8c() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
                
                BEGIN
                    IF ("public"._pgtrigger_should_ignore(TG_NAME) IS TRUE) THEN
                        IF (TG_OP = 'DELETE') THEN
                            RETURN OLD;
                        ELSE
                            RETURN NEW;
                        END IF;
                    END IF;
                    RETURN NULL;
                END;
            $$;
CREATE FUNCTION public.pgtrigger_no_truncate_e5d9f() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
                
                BEGIN
                    IF ("public"._pgtrigger_should_ignore(TG_NAME) IS TRUE) THEN
                        IF (TG_OP = 'DELETE') THEN
                            RETURN OLD;
                        ELSE
                            RETURN NEW;
                        END IF;
                    END IF;
                    RETURN NULL;
                END;
            $$;
CREATE FUNCTION public.pgtrigger_no_truncate_e8d47() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
                
                BEGIN
                    IF ("public"._pgtrigger_should_ignore(TG_NAME) IS TRUE) THEN
                        IF (TG_OP = 'DELETE') THEN
                            RETURN OLD;
                        ELSE
                            RETURN NEW;
                        END IF;
                    END IF;
                    RETURN NULL;
                END;
            $$;
CREATE FUNCTION public.pgtrigger_no_truncate_e8fae() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
                
                BEGIN
                    IF ("public"._pgtrigger_should_ignore(TG_NAME) IS TRUE) THEN
                        IF (TG_OP = 'DELETE') THEN
                            RETURN OLD;
                        ELSE
                            RETURN NEW;
                        END IF;
                    END IF;
                    RETURN NULL;
                END;
            $$;
CREATE FUNCTION public.pgtrigger_no_truncate_ec69e() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
                
                BEGIN
                    IF ("public"._pgtrigger_should_ignore(TG_NAME) IS TRUE) THEN
                        IF (TG_OP = 'DELETE') THEN
                            RETURN OLD;
                        ELSE
                            RETURN NEW;
                        END IF;
                    END IF;
                    RETURN NULL;
                END;
            $$;
CREATE FUNCTION public.pgtrigger_no_truncate_ed22c() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
                
                BEGIN
                    IF ("public"._pgtrigger_should_ignore(TG_NAME) IS TRUE) THEN
                        IF (TG_OP = 'DELETE') THEN
                            RETURN OLD;
                        ELSE
                            RETURN NEW;
                        END IF;
                    END IF;
                    RETURN NULL;
                END;
            $$;
CREATE FUNCTION public.pgtrigger_no_truncate_f4684() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
                
                BEGIN
                    IF ("public"._pgtrigger_should_ignore(TG_NAME) IS TRUE) THEN
                        IF (TG_OP = 'DELETE') THEN
                            RETURN OLD;
                        ELSE
                            RETURN NEW;
                        END IF;
                    END IF;
                    RETURN NULL;
                END;
            $$;
CREATE FUNCTION public.pgtrigger_no_truncate_f71a1() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
                
                BEGIN
                    IF ("public"._pgtrigger_should_ignore(TG_NAME) IS TRUE) THEN
                        IF (TG_OP = 'DELETE') THEN
                            RETURN OLD;
                        ELSE
                            RETURN NEW;
                        END IF;
                    END IF;
                    RETURN NULL;
                END;
            $$;
CREATE FUNCTION public.pgtrigger_only_derived_40373() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
                
                BEGIN
                    IF ("public"._pgtrigger_should_ignore(TG_NAME) IS TRUE) THEN
                        IF (TG_OP = 'DELETE') THEN
                            RETURN OLD;
                        ELSE
                            RETURN NEW;
                        END IF;
                    END IF;
                    RETURN NULL;
                END;
            $$;
CREATE FUNCTION public.pgtrigger_only_derived_ddd36() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
                
                BEGIN
                    IF ("public"._pgtrigger_should_ignore(TG_NAME) IS TRUE) THEN
                        IF (TG_OP = 'DELETE') THEN
                            RETURN OLD;
                        ELSE
                            RETURN NEW;
                        END IF;
                    END IF;
                    RETURN NULL;
                END;
            $$;
CREATE TABLE public.account_emailaddress (
    id integer NOT NULL,
    email character varying(254) NOT NULL,
    verified boolean NOT NULL,
    "primary" boolean NOT NULL,
    user_id bigint NOT NULL
);
ALTER TABLE public.account_emailaddress ALTER COLUMN id ADD GENERATED BY DEFAULT AS IDENTITY (
    SEQUENCE NAME public.account_emailaddress_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);
CREATE TABLE public.account_emailconfirmation (
    id integer NOT NULL,
    created timestamp with time zone NOT NULL,
    sent timestamp with time zone,
    key character varying(64) NOT NULL,
    email_address_id integer NOT NULL
);
ALTER TABLE public.account_emailconfirmation ALTER COLUMN id ADD GENERATED BY DEFAULT AS IDENTITY (
    SEQUENCE NAME public.account_emailconfirmation_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);
CREATE TABLE public.appointments_appointment (
    id bigint NOT NULL,
    version integer NOT NULL,
    kind character varying(10) NOT NULL,
    state character varying(8) NOT NULL,
    reason character varying(200) NOT NULL,
    day date NOT NULL,
    "when" character varying(9) NOT NULL,
    at character varying(5) NOT NULL,
    minutes smallint,
    days smallint NOT NULL,
    starts_at timestamp with time zone NOT NULL,
    ends_at timestamp with time zone NOT NULL,
    name character varying(80) NOT NULL,
    phone character varying(40) NOT NULL,
    remark text NOT NULL,
    added_at timestamp with time zone NOT NULL,
    added_by_id bigint NOT NULL,
    changed_by_id bigint,
    job_id bigint,
    technician_id bigint,
    vessel_id bigint,
    bay_id bigint,
    CONSTRAINT appointment_lasts CHECK ((ends_at > starts_at)),
    CONSTRAINT appointment_of_somebody CHECK (((vessel_id IS NOT NULL) OR (NOT ((name)::text = ''::text)))),
    CONSTRAINT appointment_time_said CHECK ((((minutes IS NOT NULL) AND (("when")::text = 'time'::text) AND (NOT ((at)::text = ''::text))) OR ((NOT (("when")::text = 'time'::text)) AND ((at)::text = ''::text)))),
    CONSTRAINT appointments_appointment_days_check CHECK ((days >= 0)),
    CONSTRAINT appointments_appointment_minutes_check CHECK ((minutes >= 0)),
    CONSTRAINT appointments_appointment_version_check CHECK ((version >= 0))
);
ALTER TABLE public.appointments_appointment ALTER COLUMN id ADD GENERATED BY DEFAULT AS IDENTITY (
    SEQUENCE NAME public.appointments_appointment_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);
CREATE TABLE public.appointments_appointmentchange (
    id bigint NOT NULL,
    done character varying(8) NOT NULL,
    changes jsonb NOT NULL,
    reason character varying(200) NOT NULL,
    at timestamp with time zone NOT NULL,
    appointment_id bigint NOT NULL,
    by_id bigint NOT NULL
);
ALTER TABLE public.appointments_appointmentchange ALTER COLUMN id ADD GENERATED BY DEFAULT AS IDENTITY (
    SEQUENCE NAME public.appointments_appointmentchange_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);
CREATE TABLE public.appointments_bay (
    id bigint NOT NULL,
    version integer NOT NULL,
    name character varying(40) NOT NULL,
    note character varying(120) NOT NULL,
    "position" smallint NOT NULL,
    added_at timestamp with time zone NOT NULL,
    ended_at timestamp with time zone,
    added_by_id bigint NOT NULL,
    changed_by_id bigint,
    ended_by_id bigint,
    CONSTRAINT appointments_bay_position_check CHECK (("position" >= 0)),
    CONSTRAINT appointments_bay_version_check CHECK ((version >= 0)),
    CONSTRAINT bay_is_named CHECK ((NOT ((name)::text = ''::text)))
);
ALTER TABLE public.appointments_bay ALTER COLUMN id ADD GENERATED BY DEFAULT AS IDENTITY (
    SEQUENCE NAME public.appointments_bay_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);
CREATE TABLE public.auth_group (
    id integer NOT NULL,
    name character varying(150) NOT NULL
);
ALTER TABLE public.auth_group ALTER COLUMN id ADD GENERATED BY DEFAULT AS IDENTITY (
    SEQUENCE NAME public.auth_group_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);
CREATE TABLE public.auth_group_permissions (
    id bigint NOT NULL,
    group_id integer NOT NULL,
    permission_id integer NOT NULL
);
ALTER TABLE public.auth_group_permissions ALTER COLUMN id ADD GENERATED BY DEFAULT AS IDENTITY (
    SEQUENCE NAME public.auth_group_permissions_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);
CREATE TABLE public.auth_permission (
    id integer NOT NULL,
    name character varying(255) NOT NULL,
    content_type_id integer NOT NULL,
    codename character varying(100) NOT NULL
);
ALTER TABLE public.auth_permission ALTER COLUMN id ADD GENERATED BY DEFAULT AS IDENTITY (
    SEQUENCE NAME public.auth_permission_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);
CREATE TABLE public.authorizations_answeredpiece (
    id bigint NOT NULL,
    key uuid NOT NULL,
    "position" smallint NOT NULL,
    is_option boolean NOT NULL,
    words character varying(160) NOT NULL,
    alternatives character varying(40) NOT NULL,
    amount numeric(11,2) NOT NULL,
    is_taken boolean NOT NULL,
    authorization_id bigint NOT NULL,
    CONSTRAINT authorizations_answeredpiece_position_check CHECK (("position" >= 0))
);
ALTER TABLE public.authorizations_answeredpiece ALTER COLUMN id ADD GENERATED BY DEFAULT AS IDENTITY (
    SEQUENCE NAME public.authorizations_answeredpiece_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);
CREATE TABLE public.authorizations_authorization (
    id bigint NOT NULL,
    revision smallint,
    amount numeric(11,2) NOT NULL,
    adds boolean NOT NULL,
    is_ceiling boolean NOT NULL,
    how character varying(7) NOT NULL,
    who character varying(80) NOT NULL,
    reached character varying(80) NOT NULL,
    said_at timestamp with time zone NOT NULL,
    words text NOT NULL,
    noted_at timestamp with time zone NOT NULL,
    withdrawn_at timestamp with time zone,
    why_withdrawn character varying(200) NOT NULL,
    job_id bigint NOT NULL,
    line_id bigint,
    noted_by_id bigint NOT NULL,
    withdrawn_by_id bigint,
    picture_as_brought_sha256 character varying(64) NOT NULL,
    picture_sha256 character varying(64) NOT NULL,
    picture_size bigint,
    sheet text NOT NULL,
    sheet_sha256 character varying(64) NOT NULL,
    signature_sha256 character varying(64) NOT NULL,
    signature_size bigint,
    is_open boolean NOT NULL,
    likely numeric(11,2),
    taxes jsonb,
    CONSTRAINT authorization_drawn_has_its_signature CHECK (((NOT ((how)::text = 'drawn'::text)) OR ((NOT ((signature_sha256)::text = ''::text)) AND (NOT (sheet = ''::text))))),
    CONSTRAINT authorization_withdrawn_by_somebody CHECK ((((withdrawn_at IS NULL) AND (withdrawn_by_id IS NULL)) OR ((withdrawn_at IS NOT NULL) AND (withdrawn_by_id IS NOT NULL)))),
    CONSTRAINT authorizations_authorization_picture_size_check CHECK ((picture_size >= 0)),
    CONSTRAINT authorizations_authorization_revision_check CHECK ((revision >= 0)),
    CONSTRAINT authorizations_authorization_signature_size_check CHECK ((signature_size >= 0)),
    CONSTRAINT authorized_by_somebody CHECK ((NOT ((who)::text = ''::text))),
    CONSTRAINT authorized_not_negative CHECK ((amount >= (0)::numeric)),
    CONSTRAINT time_and_materials_without_a_sum CHECK ((((NOT is_open) AND (likely IS NULL)) OR ((NOT adds) AND (amount = (0)::numeric) AND (NOT is_ceiling) AND is_open)))
);
ALTER TABLE public.authorizations_authorization ALTER COLUMN id ADD GENERATED BY DEFAULT AS IDENTITY (
    SEQUENCE NAME public.authorizations_authorization_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);
CREATE TABLE public.authorizations_authorizationpaper (
    id bigint NOT NULL,
    is_withdrawn boolean NOT NULL,
    is_signed boolean NOT NULL,
    pdf_sha256 character varying(64) NOT NULL,
    pdf_size integer NOT NULL,
    pages smallint NOT NULL,
    at timestamp with time zone NOT NULL,
    authorization_id bigint NOT NULL,
    CONSTRAINT authorizations_authorizationpaper_pages_check CHECK ((pages >= 0)),
    CONSTRAINT authorizations_authorizationpaper_pdf_size_check CHECK ((pdf_size >= 0))
);
ALTER TABLE public.authorizations_authorizationpaper ALTER COLUMN id ADD GENERATED BY DEFAULT AS IDENTITY (
    SEQUENCE NAME public.authorizations_authorizationpaper_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);
CREATE TABLE public.authorizations_authorizationrules (
    id bigint NOT NULL,
    version integer NOT NULL,
    tolerance_percent numeric(6,3),
    tolerance_amount numeric(11,2),
    citation character varying(160) NOT NULL,
    changed_by_id bigint,
    estimate_first boolean NOT NULL,
    estimate_from numeric(11,2),
    nothing_on_top boolean NOT NULL,
    specify_more boolean NOT NULL,
    time_and_materials character varying(7) NOT NULL,
    CONSTRAINT authorizations_authorizationrules_version_check CHECK ((version >= 0)),
    CONSTRAINT one_row_of_authorization_rules CHECK ((id = 1))
);
ALTER TABLE public.authorizations_authorizationrules ALTER COLUMN id ADD GENERATED BY DEFAULT AS IDENTITY (
    SEQUENCE NAME public.authorizations_authorizationrules_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);
CREATE TABLE public.authorizations_deferredstep (
    id bigint NOT NULL,
    state character varying(7) NOT NULL,
    reason character varying(240) NOT NULL,
    at timestamp with time zone NOT NULL,
    by_id bigint NOT NULL,
    job_id bigint,
    line_id bigint,
    work_id bigint NOT NULL,
    CONSTRAINT deferred_step_has_a_job_or_a_reason CHECK ((((job_id IS NOT NULL) AND ((state)::text = 'taken'::text)) OR ((NOT ((state)::text = 'taken'::text)) AND (NOT ((reason)::text = ''::text)))))
);
ALTER TABLE public.authorizations_deferredstep ALTER COLUMN id ADD GENERATED BY DEFAULT AS IDENTITY (
    SEQUENCE NAME public.authorizations_deferredstep_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);
CREATE TABLE public.authorizations_deferredwork (
    id bigint NOT NULL,
    key uuid NOT NULL,
    revision smallint NOT NULL,
    what character varying(160) NOT NULL,
    alternatives character varying(40) NOT NULL,
    amount numeric(11,2) NOT NULL,
    declined_by character varying(80) NOT NULL,
    declined_at timestamp with time zone NOT NULL,
    why character varying(200) NOT NULL,
    is_safety boolean NOT NULL,
    state character varying(7) NOT NULL,
    authorization_id bigint NOT NULL,
    engine_id bigint,
    job_id bigint NOT NULL,
    vessel_id bigint NOT NULL,
    CONSTRAINT authorizations_deferredwork_revision_check CHECK ((revision >= 0)),
    CONSTRAINT deferred_work_said CHECK ((NOT ((what)::text = ''::text)))
);
ALTER TABLE public.authorizations_deferredwork ALTER COLUMN id ADD GENERATED BY DEFAULT AS IDENTITY (
    SEQUENCE NAME public.authorizations_deferredwork_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);
CREATE TABLE public.authorizations_goingon (
    id bigint NOT NULL,
    up_to numeric(11,2) NOT NULL,
    reason character varying(300) NOT NULL,
    noted_at timestamp with time zone NOT NULL,
    after_id bigint,
    job_id bigint NOT NULL,
    noted_by_id bigint NOT NULL,
    CONSTRAINT going_on_has_a_reason CHECK ((NOT ((reason)::text = ''::text)))
);
ALTER TABLE public.authorizations_goingon ALTER COLUMN id ADD GENERATED BY DEFAULT AS IDENTITY (
    SEQUENCE NAME public.authorizations_goingon_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);
CREATE TABLE public.authorizations_letgo (
    id bigint NOT NULL,
    reason character varying(300) NOT NULL,
    noted_at timestamp with time zone NOT NULL,
    noted_by_id bigint NOT NULL,
    stopped_id bigint NOT NULL
);
ALTER TABLE public.authorizations_letgo ALTER COLUMN id ADD GENERATED BY DEFAULT AS IDENTITY (
    SEQUENCE NAME public.authorizations_letgo_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);
CREATE TABLE public.authorizations_stoppedcharge (
    id bigint NOT NULL,
    description character varying(160) NOT NULL,
    before numeric(20,2) NOT NULL,
    after numeric(20,2) NOT NULL,
    "limit" numeric(20,2) NOT NULL,
    stopped_at timestamp with time zone NOT NULL,
    by_id bigint NOT NULL,
    job_id bigint NOT NULL,
    last_id bigint NOT NULL,
    line_id bigint,
    with_it character varying(800) DEFAULT ''::character varying NOT NULL,
    CONSTRAINT stopped_charge_went_past_the_limit CHECK ((after > "limit"))
);
ALTER TABLE public.authorizations_stoppedcharge ALTER COLUMN id ADD GENERATED BY DEFAULT AS IDENTITY (
    SEQUENCE NAME public.authorizations_stoppedcharge_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);
CREATE TABLE public.calendar_calendarfeed (
    id bigint NOT NULL,
    name character varying(80) NOT NULL,
    sources character varying(20)[] NOT NULL,
    only_own boolean NOT NULL,
    with_reach boolean NOT NULL,
    key_sha256 character varying(64) NOT NULL,
    made_at timestamp with time zone NOT NULL,
    renewed_at timestamp with time zone,
    fetched_at timestamp with time zone,
    told_sha256 character varying(64) NOT NULL,
    told_at timestamp with time zone,
    revoked_at timestamp with time zone,
    person_id bigint NOT NULL,
    revoked_by_id bigint,
    CONSTRAINT calendar_feed_is_named CHECK ((NOT ((name)::text = ''::text)))
);
ALTER TABLE public.calendar_calendarfeed ALTER COLUMN id ADD GENERATED BY DEFAULT AS IDENTITY (
    SEQUENCE NAME public.calendar_calendarfeed_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);
CREATE TABLE public.calendar_eventtold (
    key character varying(80) NOT NULL,
    uid uuid NOT NULL,
    digest character varying(64) NOT NULL,
    when_digest character varying(64) NOT NULL,
    sequence integer NOT NULL,
    revised_at timestamp with time zone NOT NULL,
    written text NOT NULL,
    written_from character varying(64) NOT NULL,
    CONSTRAINT calendar_eventtold_sequence_check CHECK ((sequence >= 0))
);
CREATE TABLE public.calls_call (
    id bigint NOT NULL,
    who character varying(80) NOT NULL,
    said character varying(500) NOT NULL,
    again_on date,
    about jsonb NOT NULL,
    at timestamp with time zone NOT NULL,
    by_id bigint NOT NULL,
    customer_id bigint NOT NULL,
    job_id bigint NOT NULL
);
ALTER TABLE public.calls_call ALTER COLUMN id ADD GENERATED BY DEFAULT AS IDENTITY (
    SEQUENCE NAME public.calls_call_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);
CREATE TABLE public.canlogs_canlog (
    id bigint NOT NULL,
    sha256 character varying(64) NOT NULL,
    name character varying(120) NOT NULL,
    size bigint NOT NULL,
    brought_at timestamp with time zone NOT NULL,
    state character varying(8) NOT NULL,
    problem text NOT NULL,
    bytes_read bigint NOT NULL,
    frames_read bigint NOT NULL,
    doing character varying(80) NOT NULL,
    summary jsonb,
    mapping jsonb NOT NULL,
    brought_by_id bigint NOT NULL,
    job_id bigint NOT NULL,
    CONSTRAINT canlogs_canlog_bytes_read_check CHECK ((bytes_read >= 0)),
    CONSTRAINT canlogs_canlog_frames_read_check CHECK ((frames_read >= 0)),
    CONSTRAINT canlogs_canlog_size_check CHECK ((size >= 0))
);
ALTER TABLE public.canlogs_canlog ALTER COLUMN id ADD GENERATED BY DEFAULT AS IDENTITY (
    SEQUENCE NAME public.canlogs_canlog_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);
CREATE TABLE public.commands_backgroundtask (
    id bigint NOT NULL,
    kind character varying(60) NOT NULL,
    subject character varying(60) NOT NULL,
    state character varying(6) NOT NULL,
    asked_at timestamp with time zone NOT NULL,
    asked_again boolean NOT NULL,
    sent_at timestamp with time zone,
    not_before timestamp with time zone,
    taken_at timestamp with time zone,
    heard_at timestamp with time zone,
    ended_at timestamp with time zone,
    taker uuid,
    tries smallint NOT NULL,
    problem text NOT NULL,
    CONSTRAINT commands_backgroundtask_tries_check CHECK ((tries >= 0))
);
ALTER TABLE public.commands_backgroundtask ALTER COLUMN id ADD GENERATED BY DEFAULT AS IDENTITY (
    SEQUENCE NAME public.commands_backgroundtask_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);
CREATE TABLE public.commands_command (
    id uuid NOT NULL,
    kind character varying(60) NOT NULL,
    device character varying(60) NOT NULL,
    at timestamp with time zone,
    received_at timestamp with time zone NOT NULL,
    digest character varying(64) NOT NULL,
    outcome character varying(120) NOT NULL,
    records character varying(120)[] NOT NULL,
    told jsonb NOT NULL,
    chain character varying(120) NOT NULL,
    "position" integer,
    link character varying(64) NOT NULL,
    actor_id bigint,
    CONSTRAINT commands_command_position_check CHECK (("position" >= 0))
);
CREATE TABLE public.commands_commandchain (
    name character varying(120) NOT NULL,
    "position" integer NOT NULL,
    digest character varying(64) NOT NULL,
    anchored_position integer NOT NULL,
    CONSTRAINT commands_commandchain_anchored_position_check CHECK ((anchored_position >= 0)),
    CONSTRAINT commands_commandchain_position_check CHECK (("position" >= 0))
);
CREATE TABLE public.django_content_type (
    id integer NOT NULL,
    app_label character varying(100) NOT NULL,
    model character varying(100) NOT NULL
);
ALTER TABLE public.django_content_type ALTER COLUMN id ADD GENERATED BY DEFAULT AS IDENTITY (
    SEQUENCE NAME public.django_content_type_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);
CREATE TABLE public.django_migrations (
    id bigint NOT NULL,
    app character varying(255) NOT NULL,
    name character varying(255) NOT NULL,
    applied timestamp with time zone NOT NULL
);
ALTER TABLE public.django_migrations ALTER COLUMN id ADD GENERATED BY DEFAULT AS IDENTITY (
    SEQUENCE NAME public.django_migrations_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);
CREATE TABLE public.django_session (
    session_key character varying(40) NOT NULL,
    session_data text NOT NULL,
    expire_date timestamp with time zone NOT NULL
);
CREATE TABLE public.documents_notice (
    id bigint NOT NULL,
    version integer NOT NULL,
    title character varying(80) NOT NULL,
    text text NOT NULL,
    citation character varying(160) NOT NULL,
    on_estimates boolean NOT NULL,
    on_invoices boolean NOT NULL,
    "position" smallint NOT NULL,
    changed_by_id bigint,
    CONSTRAINT documents_notice_position_check CHECK (("position" >= 0)),
    CONSTRAINT documents_notice_version_check CHECK ((version >= 0)),
    CONSTRAINT notice_said CHECK (((NOT ((title)::text = ''::text)) AND (NOT (text = ''::text))))
);
ALTER TABLE public.documents_notice ALTER COLUMN id ADD GENERATED BY DEFAULT AS IDENTITY (
    SEQUENCE NAME public.documents_notice_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);
CREATE TABLE public.documents_numberseries (
    name character varying(20) NOT NULL,
    prefix character varying(8) NOT NULL,
    last integer NOT NULL,
    CONSTRAINT documents_numberseries_last_check CHECK ((last >= 0))
);
CREATE TABLE public.estimates_estimate (
    id bigint NOT NULL,
    version integer NOT NULL,
    revision smallint NOT NULL,
    valid_until date NOT NULL,
    words text NOT NULL,
    discount_percent numeric(6,3),
    discount_amount numeric(11,2),
    deposit numeric(11,2),
    contingency_percent numeric(6,3),
    started_at timestamp with time zone NOT NULL,
    given_at timestamp with time zone,
    given_how character varying(7) NOT NULL,
    total numeric(11,2),
    snapshot text NOT NULL,
    sha256 character varying(64) NOT NULL,
    pdf_sha256 character varying(64) NOT NULL,
    pdf_size bigint,
    changed_by_id bigint,
    given_by_id bigint,
    job_id bigint NOT NULL,
    replaces_id bigint,
    started_by_id bigint NOT NULL,
    CONSTRAINT estimate_given_is_frozen CHECK ((((given_at IS NULL) AND (given_by_id IS NULL) AND ((sha256)::text = ''::text) AND (snapshot = ''::text)) OR ((given_at IS NOT NULL) AND (given_by_id IS NOT NULL) AND (NOT (snapshot = ''::text))))),
    CONSTRAINT estimate_one_discount CHECK (((discount_percent IS NULL) OR (discount_amount IS NULL))),
    CONSTRAINT estimates_estimate_pdf_size_check CHECK ((pdf_size >= 0)),
    CONSTRAINT estimates_estimate_revision_check CHECK ((revision >= 0)),
    CONSTRAINT estimates_estimate_version_check CHECK ((version >= 0))
);
ALTER TABLE public.estimates_estimate ALTER COLUMN id ADD GENERATED BY DEFAULT AS IDENTITY (
    SEQUENCE NAME public.estimates_estimate_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);
CREATE TABLE public.estimates_estimateline (
    id bigint NOT NULL,
    version integer NOT NULL,
    "position" smallint NOT NULL,
    kind character varying(6) NOT NULL,
    description character varying(160) NOT NULL,
    quantity numeric(9,2),
    unit_price numeric(11,2),
    is_flat boolean NOT NULL,
    percent numeric(6,3),
    percent_of character varying(6) NOT NULL,
    cap numeric(11,2),
    feet numeric(6,2),
    days smallint,
    taxable boolean NOT NULL,
    key uuid NOT NULL,
    discount_percent numeric(6,3),
    discount_amount numeric(11,2),
    changed_by_id bigint,
    estimate_id bigint NOT NULL,
    job_line_id bigint,
    part_id bigint,
    option_id bigint,
    is_core boolean NOT NULL,
    core_back boolean NOT NULL,
    CONSTRAINT estimate_line_one_discount CHECK (((discount_percent IS NULL) OR (discount_amount IS NULL))),
    CONSTRAINT estimate_line_said CHECK ((NOT ((description)::text = ''::text))),
    CONSTRAINT estimates_estimateline_days_check CHECK ((days >= 0)),
    CONSTRAINT estimates_estimateline_position_check CHECK (("position" >= 0)),
    CONSTRAINT estimates_estimateline_version_check CHECK ((version >= 0))
);
ALTER TABLE public.estimates_estimateline ALTER COLUMN id ADD GENERATED BY DEFAULT AS IDENTITY (
    SEQUENCE NAME public.estimates_estimateline_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);
CREATE TABLE public.estimates_estimateoption (
    id bigint NOT NULL,
    version integer NOT NULL,
    key uuid NOT NULL,
    "position" smallint NOT NULL,
    name character varying(80) NOT NULL,
    alternatives character varying(40) NOT NULL,
    changed_by_id bigint,
    estimate_id bigint NOT NULL,
    CONSTRAINT estimates_estimateoption_position_check CHECK (("position" >= 0)),
    CONSTRAINT estimates_estimateoption_version_check CHECK ((version >= 0)),
    CONSTRAINT option_named CHECK ((NOT ((name)::text = ''::text)))
);
ALTER TABLE public.estimates_estimateoption ALTER COLUMN id ADD GENERATED BY DEFAULT AS IDENTITY (
    SEQUENCE NAME public.estimates_estimateoption_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);
CREATE TABLE public.estimates_kit (
    id bigint NOT NULL,
    version integer NOT NULL,
    name character varying(80) NOT NULL,
    note character varying(200) NOT NULL,
    is_sold boolean NOT NULL,
    changed_by_id bigint,
    CONSTRAINT estimates_kit_version_check CHECK ((version >= 0)),
    CONSTRAINT kit_named CHECK ((NOT ((name)::text = ''::text)))
);
ALTER TABLE public.estimates_kit ALTER COLUMN id ADD GENERATED BY DEFAULT AS IDENTITY (
    SEQUENCE NAME public.estimates_kit_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);
CREATE TABLE public.estimates_kitline (
    id bigint NOT NULL,
    version integer NOT NULL,
    "position" smallint NOT NULL,
    kind character varying(6) NOT NULL,
    description character varying(160) NOT NULL,
    quantity numeric(9,2),
    unit_price numeric(11,2),
    is_flat boolean NOT NULL,
    percent numeric(6,3),
    percent_of character varying(6) NOT NULL,
    cap numeric(11,2),
    feet numeric(6,2),
    days smallint,
    taxable boolean NOT NULL,
    changed_by_id bigint,
    kit_id bigint NOT NULL,
    part_id bigint,
    is_core boolean NOT NULL,
    core_back boolean NOT NULL,
    CONSTRAINT estimates_kitline_days_check CHECK ((days >= 0)),
    CONSTRAINT estimates_kitline_position_check CHECK (("position" >= 0)),
    CONSTRAINT estimates_kitline_version_check CHECK ((version >= 0)),
    CONSTRAINT kit_line_said CHECK ((NOT ((description)::text = ''::text)))
);
ALTER TABLE public.estimates_kitline ALTER COLUMN id ADD GENERATED BY DEFAULT AS IDENTITY (
    SEQUENCE NAME public.estimates_kitline_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);
CREATE TABLE public.faults_clear (
    entry_id uuid NOT NULL,
    everything boolean NOT NULL,
    unit_id bigint NOT NULL
);
CREATE TABLE public.faults_clearedfault (
    id bigint NOT NULL,
    system character varying(6) NOT NULL,
    code character varying(40) NOT NULL,
    clear_id uuid NOT NULL,
    fault_id bigint NOT NULL
);
ALTER TABLE public.faults_clearedfault ALTER COLUMN id ADD GENERATED BY DEFAULT AS IDENTITY (
    SEQUENCE NAME public.faults_clearedfault_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);
CREATE TABLE public.faults_episode (
    id bigint NOT NULL,
    number integer NOT NULL,
    opened_at timestamp with time zone NOT NULL,
    opened_hours numeric(9,1),
    closed_at timestamp with time zone,
    closed_hours numeric(9,1),
    gap_hours numeric(9,1),
    gap_days integer,
    since_at timestamp with time zone,
    since_hours numeric(9,1),
    turn integer,
    is_repair boolean NOT NULL,
    is_comeback boolean NOT NULL,
    outcome character varying(8) NOT NULL,
    outcome_hours numeric(9,1),
    outcome_least_hours numeric(9,1),
    outcome_most_hours numeric(9,1),
    outcome_days integer,
    closing_id uuid,
    opening_id uuid NOT NULL,
    fault_id bigint NOT NULL,
    work_id uuid,
    may_be_comeback boolean NOT NULL,
    CONSTRAINT faults_episode_number_check CHECK ((number >= 0)),
    CONSTRAINT faults_episode_turn_check CHECK ((turn >= 0))
);
ALTER TABLE public.faults_episode ALTER COLUMN id ADD GENERATED BY DEFAULT AS IDENTITY (
    SEQUENCE NAME public.faults_episode_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);
CREATE TABLE public.faults_fault (
    id bigint NOT NULL,
    system character varying(6) NOT NULL,
    code character varying(40) NOT NULL,
    state character varying(13) NOT NULL,
    status_now character varying(10) NOT NULL,
    is_open boolean NOT NULL,
    episodes integer NOT NULL,
    returns integer NOT NULL,
    first_seen_at timestamp with time zone,
    last_seen_at timestamp with time zone,
    last_seen_hours numeric(9,1),
    cleared_at timestamp with time zone,
    cleared_hours numeric(9,1),
    history jsonb NOT NULL,
    engine_id bigint,
    unit_id bigint NOT NULL,
    vessel_id bigint NOT NULL,
    CONSTRAINT faults_fault_episodes_check CHECK ((episodes >= 0)),
    CONSTRAINT faults_fault_returns_check CHECK ((returns >= 0))
);
ALTER TABLE public.faults_fault ALTER COLUMN id ADD GENERATED BY DEFAULT AS IDENTITY (
    SEQUENCE NAME public.faults_fault_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);
CREATE TABLE public.faults_scan (
    entry_id uuid NOT NULL,
    instrument character varying(80) NOT NULL,
    registered_as character varying(150),
    instrument_serial character varying(60),
    calibrated_on date,
    calibrated_until date,
    phase character varying(12) NOT NULL,
    is_complete boolean NOT NULL,
    source character varying(8) NOT NULL,
    raw text NOT NULL,
    not_understood integer NOT NULL,
    file_sha256 character varying(64),
    registered_id bigint,
    unit_id bigint NOT NULL,
    CONSTRAINT faults_scan_not_understood_check CHECK ((not_understood >= 0))
);
CREATE TABLE public.faults_sighting (
    id bigint NOT NULL,
    system character varying(6) NOT NULL,
    code character varying(40) NOT NULL,
    status character varying(10) NOT NULL,
    count integer,
    fault_id bigint NOT NULL,
    scan_id uuid NOT NULL,
    CONSTRAINT faults_sighting_count_check CHECK ((count >= 0))
);
ALTER TABLE public.faults_sighting ALTER COLUMN id ADD GENERATED BY DEFAULT AS IDENTITY (
    SEQUENCE NAME public.faults_sighting_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);
CREATE TABLE public.faults_workdone (
    entry_id uuid NOT NULL,
    line_id bigint
);
CREATE TABLE public.faults_workonfault (
    id bigint NOT NULL,
    system character varying(6) NOT NULL,
    code character varying(40) NOT NULL,
    fault_id bigint NOT NULL,
    work_id uuid NOT NULL
);
ALTER TABLE public.faults_workonfault ALTER COLUMN id ADD GENERATED BY DEFAULT AS IDENTITY (
    SEQUENCE NAME public.faults_workonfault_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);
CREATE TABLE public.happenings_endedchange (
    id bigint NOT NULL,
    back_id uuid NOT NULL,
    change_id uuid NOT NULL
);
ALTER TABLE public.happenings_endedchange ALTER COLUMN id ADD GENERATED BY DEFAULT AS IDENTITY (
    SEQUENCE NAME public.happenings_endedchange_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);
CREATE TABLE public.happenings_functiontest (
    entry_id uuid NOT NULL,
    operated character varying(160) NOT NULL,
    lasted numeric(7,1),
    lasted_unit character varying(3) NOT NULL,
    verdict character varying(16) NOT NULL
);
CREATE TABLE public.happenings_settingback (
    entry_id uuid NOT NULL,
    value character varying(80) NOT NULL,
    change_id uuid NOT NULL
);
CREATE TABLE public.happenings_settingchange (
    entry_id uuid NOT NULL,
    setting character varying(160) NOT NULL,
    sort character varying(10) NOT NULL,
    before character varying(80) NOT NULL,
    after character varying(80) NOT NULL,
    unit character varying(20) NOT NULL,
    authority character varying(160) NOT NULL,
    consent_by character varying(120) NOT NULL,
    consent_on date,
    consent_how character varying(10) NOT NULL,
    first_id uuid
);
CREATE TABLE public.happenings_visualfinding (
    entry_id uuid NOT NULL,
    place character varying(160) NOT NULL,
    severity character varying(16) NOT NULL,
    recommendation character varying(400) NOT NULL
);
CREATE TABLE public.instruments_calibration (
    id bigint NOT NULL,
    calibrated_on date NOT NULL,
    due_on date,
    added_at timestamp with time zone NOT NULL,
    struck_at timestamp with time zone,
    added_by_id bigint NOT NULL,
    struck_by_id bigint,
    instrument_id bigint NOT NULL,
    CONSTRAINT calibration_struck_by_somebody CHECK ((((struck_at IS NULL) AND (struck_by_id IS NULL)) OR ((struck_at IS NOT NULL) AND (struck_by_id IS NOT NULL)))),
    CONSTRAINT due_after_calibrated CHECK (((due_on IS NULL) OR (due_on >= calibrated_on)))
);
ALTER TABLE public.instruments_calibration ALTER COLUMN id ADD GENERATED BY DEFAULT AS IDENTITY (
    SEQUENCE NAME public.instruments_calibration_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);
CREATE TABLE public.instruments_instrument (
    id bigint NOT NULL,
    version integer NOT NULL,
    kind character varying(60) NOT NULL,
    make character varying(80) NOT NULL,
    serial character varying(60) NOT NULL,
    out_of_service_on date,
    changed_by_id bigint,
    CONSTRAINT instruments_instrument_version_check CHECK ((version >= 0))
);
ALTER TABLE public.instruments_instrument ALTER COLUMN id ADD GENERATED BY DEFAULT AS IDENTITY (
    SEQUENCE NAME public.instruments_instrument_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);
CREATE TABLE public.invoices_account (
    id bigint NOT NULL,
    version integer NOT NULL,
    role character varying(60) NOT NULL,
    code character varying(20) NOT NULL,
    name character varying(80) NOT NULL,
    changed_by_id bigint,
    CONSTRAINT invoices_account_version_check CHECK ((version >= 0))
);
ALTER TABLE public.invoices_account ALTER COLUMN id ADD GENERATED BY DEFAULT AS IDENTITY (
    SEQUENCE NAME public.invoices_account_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);
CREATE TABLE public.invoices_billingprofile (
    id bigint NOT NULL,
    version integer NOT NULL,
    terms_days smallint NOT NULL,
    how_to_pay text NOT NULL,
    country character varying(2) NOT NULL,
    registration character varying(40) NOT NULL,
    vat_id character varying(20) NOT NULL,
    changed_by_id bigint,
    CONSTRAINT invoices_billingprofile_terms_days_check CHECK ((terms_days >= 0)),
    CONSTRAINT invoices_billingprofile_version_check CHECK ((version >= 0)),
    CONSTRAINT one_billing_profile CHECK ((id = 1))
);
ALTER TABLE public.invoices_billingprofile ALTER COLUMN id ADD GENERATED BY DEFAULT AS IDENTITY (
    SEQUENCE NAME public.invoices_billingprofile_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);
CREATE TABLE public.invoices_creditedcharge (
    id bigint NOT NULL,
    charge_id bigint NOT NULL,
    credit_id bigint NOT NULL
);
ALTER TABLE public.invoices_creditedcharge ALTER COLUMN id ADD GENERATED BY DEFAULT AS IDENTITY (
    SEQUENCE NAME public.invoices_creditedcharge_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);
CREATE TABLE public.invoices_creditnote (
    id bigint NOT NULL,
    number character varying(24) NOT NULL,
    issued_on date NOT NULL,
    currency character varying(3) NOT NULL,
    net numeric(12,2) NOT NULL,
    tax numeric(12,2) NOT NULL,
    total numeric(12,2) NOT NULL,
    record text NOT NULL,
    record_sha256 character varying(64) NOT NULL,
    made_at timestamp with time zone NOT NULL,
    reason text NOT NULL,
    customer_id bigint NOT NULL,
    made_by_id bigint NOT NULL,
    invoice_id bigint NOT NULL,
    CONSTRAINT credit_adds_up CHECK ((total = (net + tax))),
    CONSTRAINT credit_not_negative CHECK ((total >= (0)::numeric))
);
ALTER TABLE public.invoices_creditnote ALTER COLUMN id ADD GENERATED BY DEFAULT AS IDENTITY (
    SEQUENCE NAME public.invoices_creditnote_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);
CREATE TABLE public.invoices_customerbilling (
    id bigint NOT NULL,
    version integer NOT NULL,
    country character varying(2) NOT NULL,
    vat_id character varying(20) NOT NULL,
    terms_days smallint,
    changed_by_id bigint,
    customer_id bigint NOT NULL,
    CONSTRAINT invoices_customerbilling_terms_days_check CHECK ((terms_days >= 0)),
    CONSTRAINT invoices_customerbilling_version_check CHECK ((version >= 0))
);
ALTER TABLE public.invoices_customerbilling ALTER COLUMN id ADD GENERATED BY DEFAULT AS IDENTITY (
    SEQUENCE NAME public.invoices_customerbilling_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);
CREATE TABLE public.invoices_drawnpaper (
    id bigint NOT NULL,
    pdf_sha256 character varying(64) NOT NULL,
    pdf_size integer NOT NULL,
    pages smallint NOT NULL,
    signature_sha256 character varying(64) NOT NULL,
    certificate_sha256 character varying(64) NOT NULL,
    level character varying(8) NOT NULL,
    at timestamp with time zone NOT NULL,
    credit_id bigint,
    invoice_id bigint,
    CONSTRAINT drawn_of_one_paper CHECK ((((credit_id IS NOT NULL) AND (invoice_id IS NULL)) OR ((credit_id IS NULL) AND (invoice_id IS NOT NULL)))),
    CONSTRAINT invoices_drawnpaper_pages_check CHECK ((pages >= 0)),
    CONSTRAINT invoices_drawnpaper_pdf_size_check CHECK ((pdf_size >= 0))
);
ALTER TABLE public.invoices_drawnpaper ALTER COLUMN id ADD GENERATED BY DEFAULT AS IDENTITY (
    SEQUENCE NAME public.invoices_drawnpaper_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);
CREATE TABLE public.invoices_invoice (
    id bigint NOT NULL,
    number character varying(24) NOT NULL,
    issued_on date NOT NULL,
    currency character varying(3) NOT NULL,
    net numeric(12,2) NOT NULL,
    tax numeric(12,2) NOT NULL,
    total numeric(12,2) NOT NULL,
    record text NOT NULL,
    record_sha256 character varying(64) NOT NULL,
    made_at timestamp with time zone NOT NULL,
    due_on date NOT NULL,
    customer_id bigint NOT NULL,
    job_id bigint NOT NULL,
    made_by_id bigint NOT NULL,
    CONSTRAINT invoice_adds_up CHECK ((total = (net + tax))),
    CONSTRAINT invoice_due_after_it CHECK ((due_on >= issued_on)),
    CONSTRAINT invoice_not_negative CHECK ((total >= (0)::numeric))
);
ALTER TABLE public.invoices_invoice ALTER COLUMN id ADD GENERATED BY DEFAULT AS IDENTITY (
    SEQUENCE NAME public.invoices_invoice_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);
CREATE TABLE public.invoices_invoicedcharge (
    id bigint NOT NULL,
    "position" smallint NOT NULL,
    charge_id bigint NOT NULL,
    invoice_id bigint NOT NULL,
    CONSTRAINT invoices_invoicedcharge_position_check CHECK (("position" >= 0))
);
ALTER TABLE public.invoices_invoicedcharge ALTER COLUMN id ADD GENERATED BY DEFAULT AS IDENTITY (
    SEQUENCE NAME public.invoices_invoicedcharge_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);
CREATE TABLE public.invoices_lefttoinvoice (
    job_id bigint NOT NULL
);
CREATE TABLE public.invoices_loosewriteoff (
    id bigint NOT NULL,
    side character varying(6) NOT NULL,
    amount numeric(12,2) NOT NULL,
    currency character varying(3) NOT NULL,
    reason character varying(500) NOT NULL,
    day date NOT NULL,
    at timestamp with time zone NOT NULL,
    by_id bigint NOT NULL,
    customer_id bigint NOT NULL,
    reverses_id bigint,
    CONSTRAINT loose_write_off_has_its_sign CHECK ((((amount > (0)::numeric) AND (reverses_id IS NULL)) OR ((amount < (0)::numeric) AND (reverses_id IS NOT NULL))))
);
ALTER TABLE public.invoices_loosewriteoff ALTER COLUMN id ADD GENERATED BY DEFAULT AS IDENTITY (
    SEQUENCE NAME public.invoices_loosewriteoff_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);
CREATE TABLE public.invoices_openinvoice (
    invoice_id bigint NOT NULL,
    open numeric(12,2) NOT NULL
);
CREATE TABLE public.invoices_payment (
    id bigint NOT NULL,
    kind character varying(8) NOT NULL,
    amount numeric(12,2) NOT NULL,
    currency character varying(3) NOT NULL,
    means character varying(8) NOT NULL,
    reference character varying(80) NOT NULL,
    day date NOT NULL,
    remark character varying(500) NOT NULL,
    at timestamp with time zone NOT NULL,
    by_id bigint NOT NULL,
    customer_id bigint NOT NULL,
    invoice_id bigint,
    job_id bigint,
    reverses_id bigint,
    CONSTRAINT payment_has_its_sign CHECK ((((amount > (0)::numeric) AND ((kind)::text = 'received'::text) AND (reverses_id IS NULL)) OR ((amount < (0)::numeric) AND ((kind)::text = 'refunded'::text) AND (reverses_id IS NULL)) OR (((kind)::text = 'reversed'::text) AND (reverses_id IS NOT NULL) AND (NOT (amount = (0)::numeric)))))
);
ALTER TABLE public.invoices_payment ALTER COLUMN id ADD GENERATED BY DEFAULT AS IDENTITY (
    SEQUENCE NAME public.invoices_payment_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);
CREATE TABLE public.invoices_paymentrest (
    payment_id bigint NOT NULL,
    rest numeric(12,2) NOT NULL
);
CREATE TABLE public.invoices_use (
    id bigint NOT NULL,
    amount numeric(12,2) NOT NULL,
    day date NOT NULL,
    at timestamp with time zone NOT NULL,
    by_id bigint NOT NULL,
    credit_id bigint,
    invoice_id bigint,
    out_id bigint,
    payment_id bigint NOT NULL,
    off_id bigint,
    CONSTRAINT use_for_one_thing CHECK ((((credit_id IS NULL) AND (invoice_id IS NULL) AND (off_id IS NULL) AND (out_id IS NOT NULL)) OR ((credit_id IS NULL) AND (invoice_id IS NULL) AND (off_id IS NOT NULL) AND (out_id IS NULL)) OR ((invoice_id IS NOT NULL) AND (off_id IS NULL) AND (out_id IS NULL)))),
    CONSTRAINT use_of_something CHECK ((NOT (amount = (0)::numeric)))
);
ALTER TABLE public.invoices_use ALTER COLUMN id ADD GENERATED BY DEFAULT AS IDENTITY (
    SEQUENCE NAME public.invoices_use_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);
CREATE TABLE public.invoices_writeoff (
    id bigint NOT NULL,
    amount numeric(12,2) NOT NULL,
    reason character varying(500) NOT NULL,
    day date NOT NULL,
    at timestamp with time zone NOT NULL,
    by_id bigint NOT NULL,
    invoice_id bigint NOT NULL,
    reverses_id bigint,
    CONSTRAINT write_off_has_its_sign CHECK ((((amount > (0)::numeric) AND (reverses_id IS NULL)) OR ((amount < (0)::numeric) AND (reverses_id IS NOT NULL))))
);
ALTER TABLE public.invoices_writeoff ALTER COLUMN id ADD GENERATED BY DEFAULT AS IDENTITY (
    SEQUENCE NAME public.invoices_writeoff_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);
CREATE TABLE public.jobparts_awaitedpart (
    id bigint NOT NULL,
    version integer NOT NULL,
    maker character varying(60) NOT NULL,
    number character varying(40) NOT NULL,
    description character varying(160) NOT NULL,
    quantity numeric(6,2) NOT NULL,
    supplier character varying(80) NOT NULL,
    ordered_on date,
    expected_on date,
    remark character varying(200) NOT NULL,
    added_at timestamp with time zone NOT NULL,
    arrived_at timestamp with time zone,
    canceled_at timestamp with time zone,
    added_by_id bigint NOT NULL,
    arrived_by_id bigint,
    canceled_by_id bigint,
    changed_by_id bigint,
    job_id bigint NOT NULL,
    line_id bigint,
    part_id bigint,
    order_id bigint,
    CONSTRAINT arrived_with_somebody CHECK ((((arrived_at IS NULL) AND (arrived_by_id IS NULL)) OR ((arrived_at IS NOT NULL) AND (arrived_by_id IS NOT NULL) AND (canceled_at IS NULL)))),
    CONSTRAINT awaited_part_is_named CHECK (((NOT ((number)::text = ''::text)) OR (NOT ((description)::text = ''::text)))),
    CONSTRAINT awaited_quantity CHECK (((quantity > (0)::numeric) AND (quantity <= (9999)::numeric))),
    CONSTRAINT canceled_by_somebody CHECK ((((canceled_at IS NULL) AND (canceled_by_id IS NULL)) OR ((canceled_at IS NOT NULL) AND (canceled_by_id IS NOT NULL)))),
    CONSTRAINT jobparts_awaitedpart_version_check CHECK ((version >= 0))
);
ALTER TABLE public.jobparts_awaitedpart ALTER COLUMN id ADD GENERATED BY DEFAULT AS IDENTITY (
    SEQUENCE NAME public.jobparts_awaitedpart_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);
CREATE TABLE public.jobparts_fittedcharge (
    charge_id bigint NOT NULL,
    as_charged_id uuid NOT NULL,
    fitted_id uuid NOT NULL
);
CREATE TABLE public.jobparts_partfitted (
    entry_id uuid NOT NULL,
    maker character varying(60) NOT NULL,
    number character varying(40) NOT NULL,
    description character varying(160) NOT NULL,
    quantity numeric(6,2) NOT NULL,
    serial character varying(60) NOT NULL,
    condition character varying(14) NOT NULL,
    old_serial character varying(60) NOT NULL,
    old_fate character varying(10) NOT NULL,
    first_id uuid,
    line_id bigint,
    part_id bigint,
    CONSTRAINT fitted_part_is_named CHECK (((NOT ((number)::text = ''::text)) OR (NOT ((description)::text = ''::text)))),
    CONSTRAINT fitted_quantity CHECK (((quantity > (0)::numeric) AND (quantity <= (9999)::numeric)))
);
CREATE TABLE public.mfa_authenticator (
    id bigint NOT NULL,
    type character varying(20) NOT NULL,
    data jsonb NOT NULL,
    user_id bigint NOT NULL,
    created_at timestamp with time zone NOT NULL,
    last_used_at timestamp with time zone
);
ALTER TABLE public.mfa_authenticator ALTER COLUMN id ADD GENERATED BY DEFAULT AS IDENTITY (
    SEQUENCE NAME public.mfa_authenticator_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);
CREATE TABLE public.parts_part (
    id bigint NOT NULL,
    version integer NOT NULL,
    number character varying(40) NOT NULL,
    maker character varying(60) NOT NULL,
    description character varying(160) NOT NULL,
    unit_price numeric(11,2) NOT NULL,
    is_active boolean NOT NULL,
    changed_by_id bigint,
    CONSTRAINT parts_part_version_check CHECK ((version >= 0))
);
ALTER TABLE public.parts_part ALTER COLUMN id ADD GENERATED BY DEFAULT AS IDENTITY (
    SEQUENCE NAME public.parts_part_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);
CREATE TABLE public.readings_cardwords (
    id bigint NOT NULL,
    said_at timestamp with time zone NOT NULL,
    engine_models character varying(200) NOT NULL,
    year_from smallint,
    year_to smallint,
    serial_from character varying(40) NOT NULL,
    serial_to character varying(40) NOT NULL,
    title character varying(80) NOT NULL,
    document character varying(200) NOT NULL,
    notes text NOT NULL,
    card_id bigint NOT NULL,
    family_id bigint NOT NULL,
    said_by_id bigint,
    CONSTRAINT readings_cardwords_year_from_check CHECK ((year_from >= 0)),
    CONSTRAINT readings_cardwords_year_to_check CHECK ((year_to >= 0))
);
ALTER TABLE public.readings_cardwords ALTER COLUMN id ADD GENERATED BY DEFAULT AS IDENTITY (
    SEQUENCE NAME public.readings_cardwords_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);
CREATE TABLE public.readings_learnedname (
    id bigint NOT NULL,
    instrument character varying(80) NOT NULL,
    name character varying(120) NOT NULL,
    learned_by_id bigint NOT NULL,
    parameter_id bigint NOT NULL,
    registered_id bigint
);
ALTER TABLE public.readings_learnedname ALTER COLUMN id ADD GENERATED BY DEFAULT AS IDENTITY (
    SEQUENCE NAME public.readings_learnedname_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);
CREATE TABLE public.readings_parameter (
    id bigint NOT NULL,
    name character varying(60) NOT NULL,
    kind character varying(40) NOT NULL,
    "position" smallint NOT NULL,
    CONSTRAINT readings_parameter_position_check CHECK (("position" >= 0))
);
ALTER TABLE public.readings_parameter ALTER COLUMN id ADD GENERATED BY DEFAULT AS IDENTITY (
    SEQUENCE NAME public.readings_parameter_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);
CREATE TABLE public.readings_reading (
    entry_id uuid NOT NULL,
    instrument character varying(80) NOT NULL,
    registered_as character varying(150),
    instrument_serial character varying(60),
    calibrated_on date,
    calibrated_until date,
    value numeric(14,4) NOT NULL,
    unit character varying(12) NOT NULL,
    value_si numeric(26,12) NOT NULL,
    minimum numeric(14,4),
    maximum numeric(14,4),
    condition character varying(120) NOT NULL,
    phase character varying(12) NOT NULL,
    low numeric(14,4),
    nominal numeric(14,4),
    high numeric(14,4),
    verdict character varying(10) NOT NULL,
    near_percent numeric(5,2),
    limits_from character varying(300) NOT NULL,
    worked_from jsonb,
    file_sha256 character varying(64),
    parameter_id bigint NOT NULL,
    registered_id bigint,
    judged_by_id bigint,
    limits_remark character varying(500)
);
CREATE TABLE public.readings_readingsheet (
    id bigint NOT NULL,
    name character varying(80) NOT NULL,
    is_shared boolean NOT NULL,
    made_at timestamp with time zone NOT NULL,
    ended_at timestamp with time zone,
    family_id bigint NOT NULL,
    made_by_id bigint NOT NULL,
    CONSTRAINT sheet_is_named CHECK ((NOT ((name)::text = ''::text)))
);
ALTER TABLE public.readings_readingsheet ALTER COLUMN id ADD GENERATED BY DEFAULT AS IDENTITY (
    SEQUENCE NAME public.readings_readingsheet_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);
CREATE TABLE public.readings_sheetrow (
    id bigint NOT NULL,
    place smallint NOT NULL,
    unit character varying(12) NOT NULL,
    parameter_id bigint NOT NULL,
    version_id bigint NOT NULL,
    CONSTRAINT readings_sheetrow_place_check CHECK ((place >= 0))
);
ALTER TABLE public.readings_sheetrow ALTER COLUMN id ADD GENERATED BY DEFAULT AS IDENTITY (
    SEQUENCE NAME public.readings_sheetrow_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);
CREATE TABLE public.readings_sheetversion (
    id bigint NOT NULL,
    number integer NOT NULL,
    conditions jsonb NOT NULL,
    saved_at timestamp with time zone NOT NULL,
    saved_by_id bigint NOT NULL,
    sheet_id bigint NOT NULL,
    CONSTRAINT readings_sheetversion_number_check CHECK ((number >= 0))
);
ALTER TABLE public.readings_sheetversion ALTER COLUMN id ADD GENERATED BY DEFAULT AS IDENTITY (
    SEQUENCE NAME public.readings_sheetversion_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);
CREATE TABLE public.readings_speccard (
    id bigint NOT NULL,
    title character varying(80) NOT NULL,
    document character varying(200) NOT NULL,
    notes text NOT NULL,
    is_active boolean NOT NULL,
    family_id bigint NOT NULL,
    engine_models character varying(200) NOT NULL,
    serial_from character varying(40) NOT NULL,
    serial_to character varying(40) NOT NULL,
    year_from smallint,
    year_to smallint,
    changed_by_id bigint,
    version integer NOT NULL,
    CONSTRAINT card_years_in_order CHECK (((year_from IS NULL) OR (year_to IS NULL) OR (year_to >= year_from))),
    CONSTRAINT readings_speccard_version_check CHECK ((version >= 0)),
    CONSTRAINT readings_speccard_year_from_check CHECK ((year_from >= 0)),
    CONSTRAINT readings_speccard_year_to_check CHECK ((year_to >= 0))
);
ALTER TABLE public.readings_speccard ALTER COLUMN id ADD GENERATED BY DEFAULT AS IDENTITY (
    SEQUENCE NAME public.readings_speccard_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);
CREATE TABLE public.readings_speclimit (
    id bigint NOT NULL,
    condition character varying(120) NOT NULL,
    unit character varying(12) NOT NULL,
    low numeric(14,4),
    nominal numeric(14,4),
    high numeric(14,4),
    near_percent numeric(5,2) NOT NULL,
    card_id bigint NOT NULL,
    parameter_id bigint NOT NULL,
    begun_at timestamp with time zone NOT NULL,
    begun_by_id bigint,
    ended_at timestamp with time zone,
    ended_by_id bigint,
    page character varying(20) NOT NULL,
    replaces_id bigint,
    source character varying(200) NOT NULL,
    CONSTRAINT limit_has_an_end CHECK (((low IS NOT NULL) OR (high IS NOT NULL))),
    CONSTRAINT limits_in_order CHECK (((low IS NULL) OR (high IS NULL) OR (high >= low)))
);
ALTER TABLE public.readings_speclimit ALTER COLUMN id ADD GENERATED BY DEFAULT AS IDENTITY (
    SEQUENCE NAME public.readings_speclimit_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);
CREATE TABLE public.reports_issuedreport (
    entry_id uuid NOT NULL,
    sequence smallint NOT NULL,
    number character varying(16) NOT NULL,
    code character varying(12) NOT NULL,
    record text NOT NULL,
    record_sha256 character varying(64) NOT NULL,
    pdf_sha256 character varying(64) NOT NULL,
    pdf_size integer NOT NULL,
    pages smallint NOT NULL,
    signature_sha256 character varying(64) NOT NULL,
    certificate_sha256 character varying(64) NOT NULL,
    level character varying(8),
    signed_at timestamp with time zone NOT NULL,
    job_id bigint NOT NULL,
    signer_id bigint NOT NULL,
    supersedes_id uuid,
    draft_id bigint NOT NULL,
    CONSTRAINT reports_issuedreport_pages_check CHECK ((pages >= 0)),
    CONSTRAINT reports_issuedreport_pdf_size_check CHECK ((pdf_size >= 0)),
    CONSTRAINT reports_issuedreport_sequence_check CHECK ((sequence >= 0))
);
CREATE TABLE public.reports_reportdraft (
    id bigint NOT NULL,
    version integer NOT NULL,
    state character varying(10) NOT NULL,
    summary text NOT NULL,
    remarks text NOT NULL,
    before_next_use text NOT NULL,
    soon text NOT NULL,
    watch text NOT NULL,
    not_inspected text NOT NULL,
    place character varying(160) NOT NULL,
    afloat character varying(8) NOT NULL,
    attended character varying(300) NOT NULL,
    inspected_on date,
    hin_found character varying(12) NOT NULL,
    why_revised text NOT NULL,
    started_at timestamp with time zone NOT NULL,
    reviewed_at timestamp with time zone,
    signing_since timestamp with time zone,
    sequence smallint,
    record text NOT NULL,
    entry_id uuid NOT NULL,
    problem text NOT NULL,
    changed_by_id bigint,
    job_id bigint NOT NULL,
    reviewed_by_id bigint,
    signer_id bigint,
    started_by_id bigint NOT NULL,
    supersedes_id uuid,
    CONSTRAINT reports_reportdraft_sequence_check CHECK ((sequence >= 0)),
    CONSTRAINT reports_reportdraft_version_check CHECK ((version >= 0)),
    CONSTRAINT signing_has_a_record CHECK (((NOT ((state)::text = 'signing'::text)) OR ((NOT (record = ''::text)) AND (sequence IS NOT NULL) AND (signer_id IS NOT NULL))))
);
ALTER TABLE public.reports_reportdraft ALTER COLUMN id ADD GENERATED BY DEFAULT AS IDENTITY (
    SEQUENCE NAME public.reports_reportdraft_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);
CREATE TABLE public.reports_reportwithdrawal (
    entry_id uuid NOT NULL,
    reason text NOT NULL,
    report_id uuid NOT NULL
);
CREATE TABLE public.staff_accountevent (
    id bigint NOT NULL,
    kind character varying(20) NOT NULL,
    at timestamp with time zone NOT NULL,
    address character varying(60) NOT NULL,
    detail character varying(120) NOT NULL,
    by_id bigint,
    person_id bigint NOT NULL
);
ALTER TABLE public.staff_accountevent ALTER COLUMN id ADD GENERATED BY DEFAULT AS IDENTITY (
    SEQUENCE NAME public.staff_accountevent_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);
CREATE TABLE public.staff_counter (
    key character varying(64) NOT NULL,
    hits integer NOT NULL,
    until timestamp with time zone NOT NULL,
    CONSTRAINT staff_counter_hits_check CHECK ((hits >= 0))
);
CREATE TABLE public.staff_knownaddress (
    id bigint NOT NULL,
    address character varying(60) NOT NULL,
    last_used timestamp with time zone NOT NULL,
    person_id bigint NOT NULL
);
ALTER TABLE public.staff_knownaddress ALTER COLUMN id ADD GENERATED BY DEFAULT AS IDENTITY (
    SEQUENCE NAME public.staff_knownaddress_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);
CREATE TABLE public.staff_person (
    id bigint NOT NULL,
    password character varying(128) NOT NULL,
    last_login timestamp with time zone,
    version integer NOT NULL,
    username character varying(40) NOT NULL,
    name character varying(80) NOT NULL,
    email character varying(254) NOT NULL,
    role character varying(12) NOT NULL,
    qualification character varying(120) NOT NULL,
    license_number character varying(60) NOT NULL,
    is_active boolean NOT NULL,
    password_is_temporary boolean NOT NULL,
    date_joined timestamp with time zone NOT NULL,
    changed_by_id bigint,
    CONSTRAINT person_role_known CHECK ((role IN ('front-desk', 'technician', 'manager', 'owner'))),
    CONSTRAINT staff_person_version_check CHECK ((version >= 0))
);
ALTER TABLE public.staff_person ALTER COLUMN id ADD GENERATED BY DEFAULT AS IDENTITY (
    SEQUENCE NAME public.staff_person_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);
CREATE TABLE public.staff_session (
    session_key character varying(40) NOT NULL,
    session_data text NOT NULL,
    expire_date timestamp with time zone NOT NULL,
    number uuid,
    address character varying(60) NOT NULL,
    device character varying(60) NOT NULL,
    is_shared boolean NOT NULL,
    opened_at timestamp with time zone,
    seen_at timestamp with time zone,
    person_id bigint
);
CREATE TABLE public.staff_shopprofile (
    id bigint NOT NULL,
    version integer NOT NULL,
    name character varying(120) NOT NULL,
    address text NOT NULL,
    phone character varying(40) NOT NULL,
    email character varying(254) NOT NULL,
    units character varying(8) NOT NULL,
    currency character varying(3) NOT NULL,
    labor_rate numeric(9,2) NOT NULL,
    time_zone character varying(60) NOT NULL,
    paper character varying(8) NOT NULL,
    logo character varying(100) NOT NULL,
    hold_hours numeric(7,1) NOT NULL,
    hold_days integer NOT NULL,
    second_factor_roles character varying(12)[] NOT NULL,
    idle_minutes integer NOT NULL,
    shared_idle_minutes integer NOT NULL,
    two_for_a_report boolean NOT NULL,
    changed_by_id bigint,
    labor_step numeric(3,2) NOT NULL,
    technicians_open_jobs boolean NOT NULL,
    technicians_see_insight boolean NOT NULL,
    technicians_see_prices boolean NOT NULL,
    CONSTRAINT one_shop_profile CHECK ((id = 1)),
    CONSTRAINT staff_shopprofile_hold_days_check CHECK ((hold_days >= 0)),
    CONSTRAINT staff_shopprofile_idle_minutes_check CHECK ((idle_minutes >= 0)),
    CONSTRAINT staff_shopprofile_shared_idle_minutes_check CHECK ((shared_idle_minutes >= 0)),
    CONSTRAINT staff_shopprofile_version_check CHECK ((version >= 0))
);
ALTER TABLE public.staff_shopprofile ALTER COLUMN id ADD GENERATED BY DEFAULT AS IDENTITY (
    SEQUENCE NAME public.staff_shopprofile_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);
CREATE TABLE public.taxes_jobtaxes (
    job_id bigint NOT NULL,
    day date NOT NULL,
    taxes jsonb NOT NULL
);
CREATE TABLE public.taxes_salestax (
    id bigint NOT NULL,
    name character varying(60) NOT NULL,
    CONSTRAINT tax_named CHECK ((NOT ((name)::text = ''::text)))
);
ALTER TABLE public.taxes_salestax ALTER COLUMN id ADD GENERATED BY DEFAULT AS IDENTITY (
    SEQUENCE NAME public.taxes_salestax_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);
CREATE TABLE public.taxes_taxexemption (
    id bigint NOT NULL,
    certificate character varying(60) NOT NULL,
    reason character varying(120) NOT NULL,
    last_day date,
    added_at timestamp with time zone NOT NULL,
    ended_at timestamp with time zone,
    added_by_id bigint NOT NULL,
    customer_id bigint NOT NULL,
    ended_by_id bigint,
    tax_id bigint,
    CONSTRAINT tax_certificate_numbered CHECK ((NOT ((certificate)::text = ''::text))),
    CONSTRAINT tax_exemption_ended_by_somebody CHECK ((((ended_at IS NULL) AND (ended_by_id IS NULL)) OR ((ended_at IS NOT NULL) AND (ended_by_id IS NOT NULL))))
);
ALTER TABLE public.taxes_taxexemption ALTER COLUMN id ADD GENERATED BY DEFAULT AS IDENTITY (
    SEQUENCE NAME public.taxes_taxexemption_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);
CREATE TABLE public.taxes_taxrate (
    id bigint NOT NULL,
    percent numeric(6,3) NOT NULL,
    on_labor boolean NOT NULL,
    on_parts boolean NOT NULL,
    on_sublet boolean NOT NULL,
    on_fees boolean NOT NULL,
    starts_on date NOT NULL,
    ends_on date,
    added_at timestamp with time zone NOT NULL,
    added_by_id bigint,
    tax_id bigint NOT NULL,
    cap numeric(11,2),
    cap_per character varying(8) NOT NULL,
    on_tax_id bigint,
    CONSTRAINT tax_cap_above_zero CHECK (((cap IS NULL) OR (cap > (0)::numeric))),
    CONSTRAINT tax_capped_or_on_another_tax CHECK (((cap IS NULL) OR (on_tax_id IS NULL))),
    CONSTRAINT tax_not_on_itself CHECK (((on_tax_id IS NULL) OR (NOT ((on_tax_id = tax_id) AND (on_tax_id IS NOT NULL))))),
    CONSTRAINT tax_percent_sound CHECK (((percent >= (0)::numeric) AND (percent <= (100)::numeric))),
    CONSTRAINT tax_rate_in_order CHECK (((ends_on IS NULL) OR (ends_on >= starts_on))),
    CONSTRAINT tax_rate_on_something CHECK ((on_labor OR on_parts OR on_sublet OR on_fees))
);
ALTER TABLE public.taxes_taxrate ALTER COLUMN id ADD GENERATED BY DEFAULT AS IDENTITY (
    SEQUENCE NAME public.taxes_taxrate_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);
CREATE TABLE public.upkeep_adoption (
    id bigint NOT NULL,
    version integer NOT NULL,
    basis character varying(8) NOT NULL,
    last_on date,
    last_hours numeric(9,1),
    source character varying(4) NOT NULL,
    remark character varying(200) NOT NULL,
    added_at timestamp with time zone NOT NULL,
    ended_at timestamp with time zone,
    added_by_id bigint NOT NULL,
    changed_by_id bigint,
    ended_by_id bigint,
    engine_id bigint NOT NULL,
    plan_id bigint NOT NULL,
    CONSTRAINT last_time_said_or_unknown CHECK (((((basis)::text = 'unknown'::text) AND (last_hours IS NULL) AND (last_on IS NULL) AND ((source)::text = ''::text)) OR ((NOT ((basis)::text = 'unknown'::text)) AND (last_on IS NOT NULL) AND (NOT ((source)::text = ''::text))))),
    CONSTRAINT upkeep_adoption_version_check CHECK ((version >= 0))
);
ALTER TABLE public.upkeep_adoption ALTER COLUMN id ADD GENERATED BY DEFAULT AS IDENTITY (
    SEQUENCE NAME public.upkeep_adoption_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);
CREATE TABLE public.upkeep_judgment (
    adoption_id bigint NOT NULL,
    standing character varying(9) NOT NULL,
    place text NOT NULL COLLATE pg_catalog."C",
    due_on date,
    told_on date,
    words text NOT NULL,
    told text NOT NULL,
    judged_on date NOT NULL,
    turns_on date,
    rules smallint NOT NULL,
    owner_id bigint NOT NULL,
    vessel_id bigint NOT NULL,
    CONSTRAINT upkeep_judgment_rules_check CHECK ((rules >= 0))
);
CREATE TABLE public.upkeep_layup (
    id bigint NOT NULL,
    version integer NOT NULL,
    from_on date NOT NULL,
    until_on date,
    remark character varying(200) NOT NULL,
    added_at timestamp with time zone NOT NULL,
    struck_at timestamp with time zone,
    added_by_id bigint NOT NULL,
    changed_by_id bigint,
    struck_by_id bigint,
    vessel_id bigint NOT NULL,
    CONSTRAINT lay_up_ends_after_it_begins CHECK (((until_on IS NULL) OR (until_on >= from_on))),
    CONSTRAINT upkeep_layup_version_check CHECK ((version >= 0))
);
ALTER TABLE public.upkeep_layup ALTER COLUMN id ADD GENERATED BY DEFAULT AS IDENTITY (
    SEQUENCE NAME public.upkeep_layup_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);
CREATE TABLE public.upkeep_plannedline (
    line_id bigint NOT NULL,
    adoption_id bigint NOT NULL
);
CREATE TABLE public.upkeep_planversion (
    id bigint NOT NULL,
    name character varying(80) NOT NULL,
    every_hours numeric(7,1),
    every_months smallint,
    first_hours numeric(7,1),
    first_months smallint,
    tasks text NOT NULL,
    manual character varying(200) NOT NULL,
    number integer NOT NULL,
    since timestamp with time zone NOT NULL,
    by_id bigint NOT NULL,
    plan_id bigint NOT NULL,
    CONSTRAINT upkeep_planversion_every_months_check CHECK ((every_months >= 0)),
    CONSTRAINT upkeep_planversion_first_months_check CHECK ((first_months >= 0)),
    CONSTRAINT upkeep_planversion_number_check CHECK ((number >= 0))
);
ALTER TABLE public.upkeep_planversion ALTER COLUMN id ADD GENERATED BY DEFAULT AS IDENTITY (
    SEQUENCE NAME public.upkeep_planversion_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);
CREATE TABLE public.upkeep_reminder (
    id bigint NOT NULL,
    way character varying(8) NOT NULL,
    remark character varying(200) NOT NULL,
    told text NOT NULL,
    at timestamp with time zone NOT NULL,
    by_id bigint NOT NULL,
    customer_id bigint NOT NULL,
    vessel_id bigint NOT NULL,
    letter_id bigint
);
ALTER TABLE public.upkeep_reminder ALTER COLUMN id ADD GENERATED BY DEFAULT AS IDENTITY (
    SEQUENCE NAME public.upkeep_reminder_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);
CREATE TABLE public.upkeep_reminderletter (
    id bigint NOT NULL,
    record text NOT NULL,
    record_sha256 character varying(64) NOT NULL,
    written_at timestamp with time zone NOT NULL,
    pdf_sha256 character varying(64) NOT NULL,
    pdf_size integer,
    pages smallint,
    signature_sha256 character varying(64) NOT NULL,
    certificate_sha256 character varying(64) NOT NULL,
    level character varying(8) NOT NULL,
    problem text NOT NULL,
    sent_at timestamp with time zone,
    discarded_at timestamp with time zone,
    customer_id bigint NOT NULL,
    discarded_by_id bigint,
    sent_by_id bigint,
    written_by_id bigint NOT NULL,
    CONSTRAINT letter_sent_or_discarded CHECK (((sent_at IS NULL) OR (discarded_at IS NULL))),
    CONSTRAINT upkeep_reminderletter_pages_check CHECK ((pages >= 0)),
    CONSTRAINT upkeep_reminderletter_pdf_size_check CHECK ((pdf_size >= 0))
);
ALTER TABLE public.upkeep_reminderletter ALTER COLUMN id ADD GENERATED BY DEFAULT AS IDENTITY (
    SEQUENCE NAME public.upkeep_reminderletter_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);
CREATE TABLE public.upkeep_reminderwish (
    id bigint NOT NULL,
    wants boolean NOT NULL,
    remark character varying(200) NOT NULL,
    at timestamp with time zone NOT NULL,
    by_id bigint NOT NULL,
    customer_id bigint NOT NULL
);
ALTER TABLE public.upkeep_reminderwish ALTER COLUMN id ADD GENERATED BY DEFAULT AS IDENTITY (
    SEQUENCE NAME public.upkeep_reminderwish_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);
CREATE TABLE public.upkeep_servicedone (
    entry_id uuid NOT NULL,
    line_id bigint,
    read_in_id uuid
);
CREATE TABLE public.upkeep_serviceof (
    id bigint NOT NULL,
    done_id uuid NOT NULL,
    plan_version_id bigint NOT NULL
);
ALTER TABLE public.upkeep_serviceof ALTER COLUMN id ADD GENERATED BY DEFAULT AS IDENTITY (
    SEQUENCE NAME public.upkeep_serviceof_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);
CREATE TABLE public.upkeep_serviceplan (
    id bigint NOT NULL,
    version integer NOT NULL,
    name character varying(80) NOT NULL,
    every_hours numeric(7,1),
    every_months smallint,
    first_hours numeric(7,1),
    first_months smallint,
    tasks text NOT NULL,
    manual character varying(200) NOT NULL,
    added_at timestamp with time zone NOT NULL,
    ended_at timestamp with time zone,
    added_by_id bigint NOT NULL,
    changed_by_id bigint,
    ended_by_id bigint,
    family_id bigint NOT NULL,
    kit_id bigint,
    CONSTRAINT plan_has_an_interval CHECK (((every_hours IS NOT NULL) OR (every_months IS NOT NULL))),
    CONSTRAINT plan_is_named CHECK ((NOT ((name)::text = ''::text))),
    CONSTRAINT upkeep_serviceplan_every_months_check CHECK ((every_months >= 0)),
    CONSTRAINT upkeep_serviceplan_first_months_check CHECK ((first_months >= 0)),
    CONSTRAINT upkeep_serviceplan_version_check CHECK ((version >= 0))
);
ALTER TABLE public.upkeep_serviceplan ALTER COLUMN id ADD GENERATED BY DEFAULT AS IDENTITY (
    SEQUENCE NAME public.upkeep_serviceplan_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);
CREATE TABLE public.upkeep_stalemark (
    id bigint NOT NULL,
    adoption_id bigint NOT NULL
);
ALTER TABLE public.upkeep_stalemark ALTER COLUMN id ADD GENERATED BY DEFAULT AS IDENTITY (
    SEQUENCE NAME public.upkeep_stalemark_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);
CREATE TABLE public.vessels_controlunit (
    id bigint NOT NULL,
    version integer NOT NULL,
    name character varying(60) NOT NULL,
    address smallint,
    code_system character varying(6) NOT NULL,
    removed_on date,
    changed_by_id bigint,
    engine_id bigint,
    vessel_id bigint NOT NULL,
    CONSTRAINT vessels_controlunit_address_check CHECK ((address >= 0)),
    CONSTRAINT vessels_controlunit_version_check CHECK ((version >= 0))
);
ALTER TABLE public.vessels_controlunit ALTER COLUMN id ADD GENERATED BY DEFAULT AS IDENTITY (
    SEQUENCE NAME public.vessels_controlunit_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);
CREATE TABLE public.vessels_customer (
    id bigint NOT NULL,
    version integer NOT NULL,
    kind character varying(8) NOT NULL,
    name character varying(120) NOT NULL,
    contact character varying(120) NOT NULL,
    address text NOT NULL,
    notes text NOT NULL,
    added_at timestamp with time zone NOT NULL,
    changed_by_id bigint,
    CONSTRAINT customer_named CHECK ((NOT ((name)::text = ''::text))),
    CONSTRAINT vessels_customer_version_check CHECK ((version >= 0))
);
ALTER TABLE public.vessels_customer ALTER COLUMN id ADD GENERATED BY DEFAULT AS IDENTITY (
    SEQUENCE NAME public.vessels_customer_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);
CREATE TABLE public.vessels_customeremail (
    id bigint NOT NULL,
    label character varying(20) NOT NULL,
    address character varying(254) NOT NULL,
    "position" smallint NOT NULL,
    customer_id bigint NOT NULL,
    CONSTRAINT vessels_customeremail_position_check CHECK (("position" >= 0))
);
ALTER TABLE public.vessels_customeremail ALTER COLUMN id ADD GENERATED BY DEFAULT AS IDENTITY (
    SEQUENCE NAME public.vessels_customeremail_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);
CREATE TABLE public.vessels_customerphone (
    id bigint NOT NULL,
    label character varying(20) NOT NULL,
    number character varying(40) NOT NULL,
    digits character varying(20) NOT NULL,
    "position" smallint NOT NULL,
    customer_id bigint NOT NULL,
    CONSTRAINT vessels_customerphone_position_check CHECK (("position" >= 0))
);
ALTER TABLE public.vessels_customerphone ALTER COLUMN id ADD GENERATED BY DEFAULT AS IDENTITY (
    SEQUENCE NAME public.vessels_customerphone_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);
CREATE TABLE public.vessels_customerspelling (
    customer_id bigint NOT NULL,
    keys text[] NOT NULL
);
CREATE TABLE public.vessels_detailschange (
    entry_id uuid NOT NULL,
    subject character varying(80) NOT NULL,
    changes jsonb NOT NULL
);
CREATE TABLE public.vessels_engine (
    id bigint NOT NULL,
    version integer NOT NULL,
    "position" character varying(10) NOT NULL,
    maker character varying(60) NOT NULL,
    model character varying(60) NOT NULL,
    serial character varying(40) NOT NULL,
    year smallint,
    fuel character varying(10) NOT NULL,
    power numeric(8,2),
    power_unit character varying(2) NOT NULL,
    rated_power_kw numeric(9,3),
    rated_rpm_low integer,
    rated_rpm_high integer,
    gear_ratio numeric(6,3),
    propeller character varying(60) NOT NULL,
    removed_on date,
    changed_by_id bigint,
    family_id bigint,
    vessel_id bigint NOT NULL,
    CONSTRAINT rated_rpm_in_order CHECK (((rated_rpm_low IS NULL) OR (rated_rpm_high IS NULL) OR (rated_rpm_high >= rated_rpm_low))),
    CONSTRAINT vessels_engine_rated_rpm_high_check CHECK ((rated_rpm_high >= 0)),
    CONSTRAINT vessels_engine_rated_rpm_low_check CHECK ((rated_rpm_low >= 0)),
    CONSTRAINT vessels_engine_version_check CHECK ((version >= 0)),
    CONSTRAINT vessels_engine_year_check CHECK ((year >= 0))
);
ALTER TABLE public.vessels_engine ALTER COLUMN id ADD GENERATED BY DEFAULT AS IDENTITY (
    SEQUENCE NAME public.vessels_engine_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);
CREATE TABLE public.vessels_enginefamily (
    id bigint NOT NULL,
    maker character varying(60) NOT NULL,
    name character varying(60) NOT NULL
);
ALTER TABLE public.vessels_enginefamily ALTER COLUMN id ADD GENERATED BY DEFAULT AS IDENTITY (
    SEQUENCE NAME public.vessels_enginefamily_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);
CREATE TABLE public.vessels_hourmeter (
    id bigint NOT NULL,
    label character varying(40) NOT NULL,
    fitted_at timestamp with time zone NOT NULL,
    shown_when_fitted numeric(9,1) NOT NULL,
    engine_hours_when_fitted numeric(9,1),
    engine_id bigint NOT NULL
);
ALTER TABLE public.vessels_hourmeter ALTER COLUMN id ADD GENERATED BY DEFAULT AS IDENTITY (
    SEQUENCE NAME public.vessels_hourmeter_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);
CREATE TABLE public.vessels_hourreading (
    entry_id uuid NOT NULL,
    shown numeric(9,1) NOT NULL,
    meter_id bigint NOT NULL
);
CREATE TABLE public.vessels_loganchor (
    number integer NOT NULL,
    taken_at timestamp with time zone NOT NULL,
    vessels integer NOT NULL,
    entries integer NOT NULL,
    changed jsonb NOT NULL,
    head character varying(64) NOT NULL,
    journal jsonb,
    CONSTRAINT vessels_loganchor_entries_check CHECK ((entries >= 0)),
    CONSTRAINT vessels_loganchor_number_check CHECK ((number >= 0)),
    CONSTRAINT vessels_loganchor_vessels_check CHECK ((vessels >= 0))
);
CREATE TABLE public.vessels_logentry (
    id uuid NOT NULL,
    kind character varying(24) NOT NULL,
    happened_at timestamp with time zone NOT NULL,
    recorded_at timestamp with time zone NOT NULL,
    engine_hours numeric(9,1),
    summary text NOT NULL,
    text text NOT NULL,
    "position" integer NOT NULL,
    digest character varying(64) NOT NULL,
    amends_id uuid,
    author_id bigint NOT NULL,
    engine_id bigint,
    vessel_id bigint NOT NULL,
    job_id bigint,
    CONSTRAINT hours_not_negative CHECK (((engine_hours IS NULL) OR (engine_hours >= (0)::numeric))),
    CONSTRAINT positions_start_at_one CHECK (("position" >= 1)),
    CONSTRAINT vessels_logentry_position_check CHECK (("position" >= 0))
);
CREATE TABLE public.vessels_meterreplacement (
    entry_id uuid NOT NULL,
    old_shown numeric(9,1),
    new_shown numeric(9,1) NOT NULL,
    new_meter_id bigint NOT NULL,
    old_meter_id bigint
);
CREATE TABLE public.vessels_ownerchange (
    entry_id uuid NOT NULL,
    new_owner_id bigint NOT NULL,
    old_owner_id bigint NOT NULL
);
CREATE TABLE public.vessels_ownership (
    id bigint NOT NULL,
    since timestamp with time zone NOT NULL,
    until timestamp with time zone,
    customer_id bigint NOT NULL,
    vessel_id bigint NOT NULL,
    CONSTRAINT ownership_ends_after_start CHECK (((until IS NULL) OR (until >= since)))
);
ALTER TABLE public.vessels_ownership ALTER COLUMN id ADD GENERATED BY DEFAULT AS IDENTITY (
    SEQUENCE NAME public.vessels_ownership_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);
CREATE TABLE public.vessels_unitfitting (
    entry_id uuid NOT NULL,
    unit_id bigint NOT NULL
);
CREATE TABLE public.vessels_unitidentification (
    entry_id uuid NOT NULL,
    serial character varying(60) NOT NULL,
    hardware character varying(60) NOT NULL,
    software character varying(60) NOT NULL,
    calibration character varying(60) NOT NULL,
    unit_id bigint NOT NULL
);
CREATE TABLE public.vessels_vessel (
    id bigint NOT NULL,
    version integer NOT NULL,
    name character varying(80) NOT NULL,
    hin character varying(20) NOT NULL,
    hin_remark character varying(160) NOT NULL,
    registration character varying(20) NOT NULL,
    kind character varying(12) NOT NULL,
    maker character varying(60) NOT NULL,
    model character varying(60) NOT NULL,
    model_year smallint,
    length numeric(6,2),
    length_unit character varying(2) NOT NULL,
    length_m numeric(7,3),
    color character varying(40) NOT NULL,
    berth character varying(40) NOT NULL,
    notes text NOT NULL,
    added_at timestamp with time zone NOT NULL,
    log_position integer NOT NULL,
    log_digest character varying(64) NOT NULL,
    anchored_position integer NOT NULL,
    changed_by_id bigint,
    owner_id bigint NOT NULL,
    CONSTRAINT vessels_vessel_anchored_position_check CHECK ((anchored_position >= 0)),
    CONSTRAINT vessels_vessel_log_position_check CHECK ((log_position >= 0)),
    CONSTRAINT vessels_vessel_model_year_check CHECK ((model_year >= 0)),
    CONSTRAINT vessels_vessel_version_check CHECK ((version >= 0))
);
ALTER TABLE public.vessels_vessel ALTER COLUMN id ADD GENERATED BY DEFAULT AS IDENTITY (
    SEQUENCE NAME public.vessels_vessel_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);
CREATE TABLE public.vessels_vesselspelling (
    vessel_id bigint NOT NULL,
    keys text[] NOT NULL
);
CREATE TABLE public.workorders_charge (
    id bigint NOT NULL,
    kind character varying(6) NOT NULL,
    description character varying(160) NOT NULL,
    quantity numeric(9,2) NOT NULL,
    unit_price numeric(11,2) NOT NULL,
    taxable boolean NOT NULL,
    added_at timestamp with time zone NOT NULL,
    struck_at timestamp with time zone,
    entry_id uuid,
    added_by_id bigint NOT NULL,
    part_id bigint,
    struck_by_id bigint,
    job_id bigint NOT NULL,
    line_id bigint,
    again_of_id bigint,
    discount_amount numeric(11,2),
    discount_percent numeric(6,3),
    origin uuid,
    core_of_id bigint,
    is_core boolean NOT NULL,
    CONSTRAINT charge_one_discount CHECK (((discount_percent IS NULL) OR (discount_amount IS NULL))),
    CONSTRAINT core_is_a_part_without_discount CHECK ((((core_of_id IS NULL) AND (NOT is_core)) OR ((discount_amount IS NULL) AND (discount_percent IS NULL) AND is_core AND ((kind)::text = 'part'::text)))),
    CONSTRAINT price_not_negative CHECK ((unit_price >= (0)::numeric)),
    CONSTRAINT quantity_positive_or_core_returned CHECK ((((core_of_id IS NULL) AND (quantity > (0)::numeric)) OR ((core_of_id IS NOT NULL) AND (quantity < (0)::numeric)))),
    CONSTRAINT struck_by_somebody CHECK ((((struck_at IS NULL) AND (struck_by_id IS NULL)) OR ((struck_at IS NOT NULL) AND (struck_by_id IS NOT NULL))))
);
ALTER TABLE public.workorders_charge ALTER COLUMN id ADD GENERATED BY DEFAULT AS IDENTITY (
    SEQUENCE NAME public.workorders_charge_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);
CREATE TABLE public.workorders_job (
    id bigint NOT NULL,
    version integer NOT NULL,
    number integer NOT NULL,
    state character varying(20) NOT NULL,
    state_since timestamp with time zone NOT NULL,
    opened_at timestamp with time zone NOT NULL,
    closed_at timestamp with time zone,
    promised_on date,
    location character varying(8) NOT NULL,
    spot character varying(40) NOT NULL,
    keys character varying(80) NOT NULL,
    contents text NOT NULL,
    condition text NOT NULL,
    tax_percent numeric(6,3),
    tax_on_labor boolean NOT NULL,
    changed_by_id bigint,
    customer_id bigint NOT NULL,
    opened_by_id bigint NOT NULL,
    technician_id bigint,
    vessel_id bigint NOT NULL,
    discount_amount numeric(11,2),
    discount_percent numeric(6,3),
    CONSTRAINT job_ended_at_a_time CHECK ((((closed_at IS NOT NULL) AND (state IN ('closed', 'canceled'))) OR ((NOT (state IN ('closed', 'canceled'))) AND (closed_at IS NULL)))),
    CONSTRAINT job_one_discount CHECK (((discount_percent IS NULL) OR (discount_amount IS NULL))),
    CONSTRAINT job_state_known CHECK ((state IN ('estimate', 'authorized', 'in-work', 'waiting-parts', 'waiting-customer', 'waiting-weather', 'sea-trial', 'ready', 'closed', 'canceled'))),
    CONSTRAINT workorders_job_number_check CHECK ((number >= 0)),
    CONSTRAINT workorders_job_version_check CHECK ((version >= 0))
);
ALTER TABLE public.workorders_job ALTER COLUMN id ADD GENERATED BY DEFAULT AS IDENTITY (
    SEQUENCE NAME public.workorders_job_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);
CREATE TABLE public.workorders_jobchange (
    entry_id uuid NOT NULL,
    subject character varying(80) NOT NULL,
    changes jsonb NOT NULL,
    line_id bigint
);
CREATE TABLE public.workorders_jobline (
    id bigint NOT NULL,
    version integer NOT NULL,
    "position" smallint NOT NULL,
    concern text NOT NULL,
    cause text NOT NULL,
    correction text NOT NULL,
    done_on date,
    changed_by_id bigint,
    engine_id bigint,
    job_id bigint NOT NULL,
    CONSTRAINT concern_said CHECK ((NOT (concern = ''::text))),
    CONSTRAINT workorders_jobline_position_check CHECK (("position" >= 0)),
    CONSTRAINT workorders_jobline_version_check CHECK ((version >= 0))
);
CREATE TABLE public.workorders_jobline_done_by (
    id bigint NOT NULL,
    jobline_id bigint NOT NULL,
    person_id bigint NOT NULL
);
ALTER TABLE public.workorders_jobline_done_by ALTER COLUMN id ADD GENERATED BY DEFAULT AS IDENTITY (
    SEQUENCE NAME public.workorders_jobline_done_by_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);
ALTER TABLE public.workorders_jobline ALTER COLUMN id ADD GENERATED BY DEFAULT AS IDENTITY (
    SEQUENCE NAME public.workorders_jobline_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);
CREATE TABLE public.workorders_jobmove (
    entry_id uuid NOT NULL,
    from_state character varying(20) NOT NULL,
    to_state character varying(20) NOT NULL,
    reason text NOT NULL
);
CREATE TABLE public.workorders_jobnumber (
    id bigint NOT NULL,
    last integer NOT NULL,
    CONSTRAINT one_job_number CHECK ((id = 1)),
    CONSTRAINT workorders_jobnumber_last_check CHECK ((last >= 0))
);
ALTER TABLE public.workorders_jobnumber ALTER COLUMN id ADD GENERATED BY DEFAULT AS IDENTITY (
    SEQUENCE NAME public.workorders_jobnumber_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);
CREATE TABLE public.workorders_moveintime (
    entry_id uuid NOT NULL,
    state character varying(20) NOT NULL,
    "position" integer NOT NULL,
    happened_at timestamp with time zone NOT NULL,
    recorded_at timestamp with time zone NOT NULL,
    job_id bigint NOT NULL,
    CONSTRAINT workorders_moveintime_position_check CHECK (("position" >= 0))
);
CREATE TABLE public.workorders_sold (
    id bigint NOT NULL,
    minutes smallint NOT NULL,
    freed_at timestamp with time zone,
    charge_id bigint NOT NULL,
    root_id uuid NOT NULL,
    stretch_id uuid NOT NULL,
    CONSTRAINT workorders_sold_minutes_check CHECK ((minutes >= 0))
);
ALTER TABLE public.workorders_sold ALTER COLUMN id ADD GENERATED BY DEFAULT AS IDENTITY (
    SEQUENCE NAME public.workorders_sold_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);
CREATE TABLE public.workorders_stretch (
    id uuid NOT NULL,
    source character varying(9) NOT NULL,
    day date NOT NULL,
    started_at timestamp with time zone,
    ended_at timestamp with time zone,
    minutes smallint,
    is_open boolean NOT NULL,
    remark character varying(500) NOT NULL,
    why character varying(500) NOT NULL,
    recorded_at timestamp with time zone NOT NULL,
    amends_id uuid,
    by_id bigint NOT NULL,
    line_id bigint NOT NULL,
    person_id bigint NOT NULL,
    root_id uuid NOT NULL,
    CONSTRAINT labor_corrects_another CHECK ((((amends_id IS NOT NULL) AND ((source)::text = 'corrected'::text)) OR ((NOT ((source)::text = 'corrected'::text)) AND (amends_id IS NULL)))),
    CONSTRAINT labor_ends_after_it_begins CHECK (((started_at IS NULL) OR (ended_at IS NULL) OR (ended_at >= started_at))),
    CONSTRAINT labor_has_a_length CHECK (((((source)::text = 'clock'::text) AND (started_at IS NOT NULL)) OR ((NOT ((source)::text = 'clock'::text)) AND (minutes > 0)))),
    CONSTRAINT labor_open_is_clocked CHECK (((NOT is_open) OR ((ended_at IS NULL) AND (minutes IS NULL) AND ((source)::text = 'clock'::text)))),
    CONSTRAINT labor_within_a_day CHECK (((minutes IS NULL) OR (minutes <= 1500))),
    CONSTRAINT workorders_stretch_minutes_check CHECK ((minutes >= 0))
);
CREATE TABLE public.workorders_stretchend (
    id uuid NOT NULL,
    kind character varying(11) NOT NULL,
    at timestamp with time zone NOT NULL,
    reason character varying(120) NOT NULL,
    recorded_at timestamp with time zone NOT NULL,
    by_id bigint NOT NULL,
    stretch_id uuid NOT NULL
);
CREATE TABLE public.workorders_stretchvoid (
    id uuid NOT NULL,
    reason character varying(500) NOT NULL,
    at timestamp with time zone NOT NULL,
    by_id bigint NOT NULL,
    stretch_id uuid NOT NULL
);
ALTER TABLE ONLY public.account_emailaddress
    ADD CONSTRAINT account_emailaddress_pkey PRIMARY KEY (id);
ALTER TABLE ONLY public.account_emailaddress
    ADD CONSTRAINT account_emailaddress_user_id_email_987c8728_uniq UNIQUE (user_id, email);
ALTER TABLE ONLY public.account_emailconfirmation
    ADD CONSTRAINT account_emailconfirmation_key_key UNIQUE (key);
ALTER TABLE ONLY public.account_emailconfirmation
    ADD CONSTRAINT account_emailconfirmation_pkey PRIMARY KEY (id);
ALTER TABLE ONLY public.staff_knownaddress
    ADD CONSTRAINT address_known_once UNIQUE (person_id, address);
ALTER TABLE ONLY public.appointments_appointment
    ADD CONSTRAINT appointments_appointment_pkey PRIMARY KEY (id);
ALTER TABLE ONLY public.appointments_appointmentchange
    ADD CONSTRAINT appointments_appointmentchange_pkey PRIMARY KEY (id);
ALTER TABLE ONLY public.appointments_bay
    ADD CONSTRAINT appointments_bay_pkey PRIMARY KEY (id);
ALTER TABLE ONLY public.auth_group
    ADD CONSTRAINT auth_group_name_key UNIQUE (name);
ALTER TABLE ONLY public.auth_group_permissions
    ADD CONSTRAINT auth_group_permissions_group_id_permission_id_0cd325b0_uniq UNIQUE (group_id, permission_id);
ALTER TABLE ONLY public.auth_group_permissions
    ADD CONSTRAINT auth_group_permissions_pkey PRIMARY KEY (id);
ALTER TABLE ONLY public.auth_group
    ADD CONSTRAINT auth_group_pkey PRIMARY KEY (id);
ALTER TABLE ONLY public.auth_permission
    ADD CONSTRAINT auth_permission_content_type_id_codename_01ab375a_uniq UNIQUE (content_type_id, codename);
ALTER TABLE ONLY public.auth_permission
    ADD CONSTRAINT auth_permission_pkey PRIMARY KEY (id);
ALTER TABLE ONLY public.authorizations_answeredpiece
    ADD CONSTRAINT authorizations_answeredpiece_pkey PRIMARY KEY (id);
ALTER TABLE ONLY public.authorizations_authorization
    ADD CONSTRAINT authorizations_authorization_pkey PRIMARY KEY (id);
ALTER TABLE ONLY public.authorizations_authorizationpaper
    ADD CONSTRAINT authorizations_authorizationpaper_pkey PRIMARY KEY (id);
ALTER TABLE ONLY public.authorizations_authorizationrules
    ADD CONSTRAINT authorizations_authorizationrules_pkey PRIMARY KEY (id);
ALTER TABLE ONLY public.authorizations_deferredstep
    ADD CONSTRAINT authorizations_deferredstep_pkey PRIMARY KEY (id);
ALTER TABLE ONLY public.authorizations_deferredwork
    ADD CONSTRAINT authorizations_deferredwork_pkey PRIMARY KEY (id);
ALTER TABLE ONLY public.authorizations_goingon
    ADD CONSTRAINT authorizations_goingon_pkey PRIMARY KEY (id);
ALTER TABLE ONLY public.authorizations_letgo
    ADD CONSTRAINT authorizations_letgo_pkey PRIMARY KEY (id);
ALTER TABLE ONLY public.authorizations_letgo
    ADD CONSTRAINT authorizations_letgo_stopped_id_key UNIQUE (stopped_id);
ALTER TABLE ONLY public.authorizations_stoppedcharge
    ADD CONSTRAINT authorizations_stoppedcharge_pkey PRIMARY KEY (id);
ALTER TABLE ONLY public.calendar_calendarfeed
    ADD CONSTRAINT calendar_calendarfeed_key_sha256_key UNIQUE (key_sha256);
ALTER TABLE ONLY public.calendar_calendarfeed
    ADD CONSTRAINT calendar_calendarfeed_pkey PRIMARY KEY (id);
ALTER TABLE ONLY public.calendar_eventtold
    ADD CONSTRAINT calendar_eventtold_pkey PRIMARY KEY (key);
ALTER TABLE ONLY public.calendar_eventtold
    ADD CONSTRAINT calendar_eventtold_uid_key UNIQUE (uid);
ALTER TABLE ONLY public.calls_call
    ADD CONSTRAINT calls_call_pkey PRIMARY KEY (id);
ALTER TABLE ONLY public.canlogs_canlog
    ADD CONSTRAINT canlogs_canlog_pkey PRIMARY KEY (id);
ALTER TABLE ONLY public.commands_backgroundtask
    ADD CONSTRAINT commands_backgroundtask_pkey PRIMARY KEY (id);
ALTER TABLE ONLY public.commands_command
    ADD CONSTRAINT commands_command_pkey PRIMARY KEY (id);
ALTER TABLE ONLY public.commands_commandchain
    ADD CONSTRAINT commands_commandchain_pkey PRIMARY KEY (name);
ALTER TABLE ONLY public.django_content_type
    ADD CONSTRAINT django_content_type_app_label_model_76bd3d3b_uniq UNIQUE (app_label, model);
ALTER TABLE ONLY public.django_content_type
    ADD CONSTRAINT django_content_type_pkey PRIMARY KEY (id);
ALTER TABLE ONLY public.django_migrations
    ADD CONSTRAINT django_migrations_pkey PRIMARY KEY (id);
ALTER TABLE ONLY public.django_session
    ADD CONSTRAINT django_session_pkey PRIMARY KEY (session_key);
ALTER TABLE ONLY public.documents_notice
    ADD CONSTRAINT documents_notice_pkey PRIMARY KEY (id);
ALTER TABLE ONLY public.documents_numberseries
    ADD CONSTRAINT documents_numberseries_pkey PRIMARY KEY (name);
ALTER TABLE ONLY public.estimates_estimate
    ADD CONSTRAINT estimates_estimate_pkey PRIMARY KEY (id);
ALTER TABLE ONLY public.estimates_estimate
    ADD CONSTRAINT estimates_estimate_replaces_id_key UNIQUE (replaces_id);
ALTER TABLE ONLY public.estimates_estimateline
    ADD CONSTRAINT estimates_estimateline_pkey PRIMARY KEY (id);
ALTER TABLE ONLY public.estimates_estimateoption
    ADD CONSTRAINT estimates_estimateoption_pkey PRIMARY KEY (id);
ALTER TABLE ONLY public.estimates_kit
    ADD CONSTRAINT estimates_kit_name_key UNIQUE (name);
ALTER TABLE ONLY public.estimates_kit
    ADD CONSTRAINT estimates_kit_pkey PRIMARY KEY (id);
ALTER TABLE ONLY public.estimates_kitline
    ADD CONSTRAINT estimates_kitline_pkey PRIMARY KEY (id);
ALTER TABLE ONLY public.faults_clear
    ADD CONSTRAINT faults_clear_pkey PRIMARY KEY (entry_id);
ALTER TABLE ONLY public.faults_clearedfault
    ADD CONSTRAINT faults_clearedfault_pkey PRIMARY KEY (id);
ALTER TABLE ONLY public.faults_episode
    ADD CONSTRAINT faults_episode_pkey PRIMARY KEY (id);
ALTER TABLE ONLY public.faults_fault
    ADD CONSTRAINT faults_fault_pkey PRIMARY KEY (id);
ALTER TABLE ONLY public.faults_scan
    ADD CONSTRAINT faults_scan_pkey PRIMARY KEY (entry_id);
ALTER TABLE ONLY public.faults_sighting
    ADD CONSTRAINT faults_sighting_pkey PRIMARY KEY (id);
ALTER TABLE ONLY public.faults_workdone
    ADD CONSTRAINT faults_workdone_pkey PRIMARY KEY (entry_id);
ALTER TABLE ONLY public.faults_workonfault
    ADD CONSTRAINT faults_workonfault_pkey PRIMARY KEY (id);
ALTER TABLE ONLY public.happenings_endedchange
    ADD CONSTRAINT happenings_endedchange_pkey PRIMARY KEY (id);
ALTER TABLE ONLY public.happenings_functiontest
    ADD CONSTRAINT happenings_functiontest_pkey PRIMARY KEY (entry_id);
ALTER TABLE ONLY public.happenings_settingback
    ADD CONSTRAINT happenings_settingback_pkey PRIMARY KEY (entry_id);
ALTER TABLE ONLY public.happenings_settingchange
    ADD CONSTRAINT happenings_settingchange_pkey PRIMARY KEY (entry_id);
ALTER TABLE ONLY public.happenings_visualfinding
    ADD CONSTRAINT happenings_visualfinding_pkey PRIMARY KEY (entry_id);
ALTER TABLE ONLY public.instruments_calibration
    ADD CONSTRAINT instruments_calibration_pkey PRIMARY KEY (id);
ALTER TABLE ONLY public.instruments_instrument
    ADD CONSTRAINT instruments_instrument_pkey PRIMARY KEY (id);
ALTER TABLE ONLY public.invoices_account
    ADD CONSTRAINT invoices_account_pkey PRIMARY KEY (id);
ALTER TABLE ONLY public.invoices_account
    ADD CONSTRAINT invoices_account_role_key UNIQUE (role);
ALTER TABLE ONLY public.invoices_billingprofile
    ADD CONSTRAINT invoices_billingprofile_pkey PRIMARY KEY (id);
ALTER TABLE ONLY public.invoices_creditedcharge
    ADD CONSTRAINT invoices_creditedcharge_charge_id_key UNIQUE (charge_id);
ALTER TABLE ONLY public.invoices_creditedcharge
    ADD CONSTRAINT invoices_creditedcharge_pkey PRIMARY KEY (id);
ALTER TABLE ONLY public.invoices_creditnote
    ADD CONSTRAINT invoices_creditnote_number_key UNIQUE (number);
ALTER TABLE ONLY public.invoices_creditnote
    ADD CONSTRAINT invoices_creditnote_pkey PRIMARY KEY (id);
ALTER TABLE ONLY public.invoices_customerbilling
    ADD CONSTRAINT invoices_customerbilling_customer_id_key UNIQUE (customer_id);
ALTER TABLE ONLY public.invoices_customerbilling
    ADD CONSTRAINT invoices_customerbilling_pkey PRIMARY KEY (id);
ALTER TABLE ONLY public.invoices_drawnpaper
    ADD CONSTRAINT invoices_drawnpaper_credit_id_key UNIQUE (credit_id);
ALTER TABLE ONLY public.invoices_drawnpaper
    ADD CONSTRAINT invoices_drawnpaper_invoice_id_key UNIQUE (invoice_id);
ALTER TABLE ONLY public.invoices_drawnpaper
    ADD CONSTRAINT invoices_drawnpaper_pkey PRIMARY KEY (id);
ALTER TABLE ONLY public.invoices_invoice
    ADD CONSTRAINT invoices_invoice_number_key UNIQUE (number);
ALTER TABLE ONLY public.invoices_invoice
    ADD CONSTRAINT invoices_invoice_pkey PRIMARY KEY (id);
ALTER TABLE ONLY public.invoices_invoicedcharge
    ADD CONSTRAINT invoices_invoicedcharge_charge_id_key UNIQUE (charge_id);
ALTER TABLE ONLY public.invoices_invoicedcharge
    ADD CONSTRAINT invoices_invoicedcharge_pkey PRIMARY KEY (id);
ALTER TABLE ONLY public.invoices_lefttoinvoice
    ADD CONSTRAINT invoices_lefttoinvoice_pkey PRIMARY KEY (job_id);
ALTER TABLE ONLY public.invoices_loosewriteoff
    ADD CONSTRAINT invoices_loosewriteoff_pkey PRIMARY KEY (id);
ALTER TABLE ONLY public.invoices_loosewriteoff
    ADD CONSTRAINT invoices_loosewriteoff_reverses_id_key UNIQUE (reverses_id);
ALTER TABLE ONLY public.invoices_openinvoice
    ADD CONSTRAINT invoices_openinvoice_pkey PRIMARY KEY (invoice_id);
ALTER TABLE ONLY public.invoices_payment
    ADD CONSTRAINT invoices_payment_pkey PRIMARY KEY (id);
ALTER TABLE ONLY public.invoices_payment
    ADD CONSTRAINT invoices_payment_reverses_id_key UNIQUE (reverses_id);
ALTER TABLE ONLY public.invoices_paymentrest
    ADD CONSTRAINT invoices_paymentrest_pkey PRIMARY KEY (payment_id);
ALTER TABLE ONLY public.invoices_use
    ADD CONSTRAINT invoices_use_pkey PRIMARY KEY (id);
ALTER TABLE ONLY public.invoices_writeoff
    ADD CONSTRAINT invoices_writeoff_pkey PRIMARY KEY (id);
ALTER TABLE ONLY public.invoices_writeoff
    ADD CONSTRAINT invoices_writeoff_reverses_id_key UNIQUE (reverses_id);
ALTER TABLE ONLY public.jobparts_awaitedpart
    ADD CONSTRAINT jobparts_awaitedpart_pkey PRIMARY KEY (id);
ALTER TABLE ONLY public.jobparts_fittedcharge
    ADD CONSTRAINT jobparts_fittedcharge_pkey PRIMARY KEY (charge_id);
ALTER TABLE ONLY public.jobparts_partfitted
    ADD CONSTRAINT jobparts_partfitted_pkey PRIMARY KEY (entry_id);
ALTER TABLE ONLY public.mfa_authenticator
    ADD CONSTRAINT mfa_authenticator_pkey PRIMARY KEY (id);
ALTER TABLE ONLY public.authorizations_answeredpiece
    ADD CONSTRAINT one_answer_to_a_piece UNIQUE (authorization_id, key);
ALTER TABLE ONLY public.canlogs_canlog
    ADD CONSTRAINT one_can_log_per_job_and_file UNIQUE (job_id, sha256);
ALTER TABLE ONLY public.faults_clearedfault
    ADD CONSTRAINT one_clear_per_fault UNIQUE (clear_id, fault_id);
ALTER TABLE ONLY public.commands_command
    ADD CONSTRAINT one_command_per_position UNIQUE (chain, "position");
ALTER TABLE ONLY public.authorizations_deferredwork
    ADD CONSTRAINT one_deferral_of_a_piece UNIQUE (authorization_id, key);
ALTER TABLE ONLY public.reports_reportdraft
    ADD CONSTRAINT one_draft_per_report_number UNIQUE (job_id, sequence);
ALTER TABLE ONLY public.happenings_endedchange
    ADD CONSTRAINT one_ending_per_change UNIQUE (back_id, change_id);
ALTER TABLE ONLY public.vessels_logentry
    ADD CONSTRAINT one_entry_per_position UNIQUE (vessel_id, "position");
ALTER TABLE ONLY public.faults_episode
    ADD CONSTRAINT one_episode_per_number UNIQUE (fault_id, number);
ALTER TABLE ONLY public.estimates_estimateline
    ADD CONSTRAINT one_estimate_line_of_a_key UNIQUE (estimate_id, key);
ALTER TABLE ONLY public.estimates_estimate
    ADD CONSTRAINT one_estimate_of_a_version UNIQUE (job_id, revision);
ALTER TABLE ONLY public.faults_fault
    ADD CONSTRAINT one_fault_per_code UNIQUE (unit_id, system, code);
ALTER TABLE ONLY public.workorders_jobline
    ADD CONSTRAINT one_line_per_position UNIQUE (job_id, "position");
ALTER TABLE ONLY public.readings_learnedname
    ADD CONSTRAINT one_meaning_per_name UNIQUE NULLS NOT DISTINCT (registered_id, instrument, name);
ALTER TABLE ONLY public.estimates_estimateoption
    ADD CONSTRAINT one_option_of_a_key UNIQUE (estimate_id, key);
ALTER TABLE ONLY public.authorizations_authorizationpaper
    ADD CONSTRAINT one_paper_of_an_authorization UNIQUE (authorization_id, is_withdrawn, is_signed);
ALTER TABLE ONLY public.reports_issuedreport
    ADD CONSTRAINT one_report_per_number UNIQUE (job_id, sequence);
ALTER TABLE ONLY public.upkeep_serviceof
    ADD CONSTRAINT one_service_once UNIQUE (done_id, plan_version_id);
ALTER TABLE ONLY public.readings_sheetrow
    ADD CONSTRAINT one_sheet_row_per_parameter UNIQUE (version_id, parameter_id);
ALTER TABLE ONLY public.readings_sheetrow
    ADD CONSTRAINT one_sheet_row_per_place UNIQUE (version_id, place);
ALTER TABLE ONLY public.readings_sheetversion
    ADD CONSTRAINT one_sheet_version_per_number UNIQUE (sheet_id, number);
ALTER TABLE ONLY public.faults_sighting
    ADD CONSTRAINT one_sighting_per_status UNIQUE (scan_id, fault_id, status);
ALTER TABLE ONLY public.taxes_taxrate
    ADD CONSTRAINT one_tax_rate_a_day UNIQUE (tax_id, starts_on);
ALTER TABLE ONLY public.upkeep_planversion
    ADD CONSTRAINT one_version_per_number UNIQUE (plan_id, number);
ALTER TABLE ONLY public.faults_workonfault
    ADD CONSTRAINT one_work_per_fault UNIQUE (work_id, fault_id);
ALTER TABLE ONLY public.parts_part
    ADD CONSTRAINT parts_part_pkey PRIMARY KEY (id);
ALTER TABLE ONLY public.readings_cardwords
    ADD CONSTRAINT readings_cardwords_pkey PRIMARY KEY (id);
ALTER TABLE ONLY public.readings_learnedname
    ADD CONSTRAINT readings_learnedname_pkey PRIMARY KEY (id);
ALTER TABLE ONLY public.readings_parameter
    ADD CONSTRAINT readings_parameter_pkey PRIMARY KEY (id);
ALTER TABLE ONLY public.readings_reading
    ADD CONSTRAINT readings_reading_pkey PRIMARY KEY (entry_id);
ALTER TABLE ONLY public.readings_readingsheet
    ADD CONSTRAINT readings_readingsheet_pkey PRIMARY KEY (id);
ALTER TABLE ONLY public.readings_sheetrow
    ADD CONSTRAINT readings_sheetrow_pkey PRIMARY KEY (id);
ALTER TABLE ONLY public.readings_sheetversion
    ADD CONSTRAINT readings_sheetversion_pkey PRIMARY KEY (id);
ALTER TABLE ONLY public.readings_speccard
    ADD CONSTRAINT readings_speccard_pkey PRIMARY KEY (id);
ALTER TABLE ONLY public.readings_speclimit
    ADD CONSTRAINT readings_speclimit_pkey PRIMARY KEY (id);
ALTER TABLE ONLY public.readings_speclimit
    ADD CONSTRAINT readings_speclimit_replaces_id_key UNIQUE (replaces_id);
ALTER TABLE ONLY public.reports_issuedreport
    ADD CONSTRAINT reports_issuedreport_draft_id_key UNIQUE (draft_id);
ALTER TABLE ONLY public.reports_issuedreport
    ADD CONSTRAINT reports_issuedreport_number_key UNIQUE (number);
ALTER TABLE ONLY public.reports_issuedreport
    ADD CONSTRAINT reports_issuedreport_pdf_sha256_key UNIQUE (pdf_sha256);
ALTER TABLE ONLY public.reports_issuedreport
    ADD CONSTRAINT reports_issuedreport_pkey PRIMARY KEY (entry_id);
ALTER TABLE ONLY public.reports_issuedreport
    ADD CONSTRAINT reports_issuedreport_supersedes_id_key UNIQUE (supersedes_id);
ALTER TABLE ONLY public.reports_reportdraft
    ADD CONSTRAINT reports_reportdraft_pkey PRIMARY KEY (id);
ALTER TABLE ONLY public.reports_reportwithdrawal
    ADD CONSTRAINT reports_reportwithdrawal_pkey PRIMARY KEY (entry_id);
ALTER TABLE ONLY public.reports_reportwithdrawal
    ADD CONSTRAINT reports_reportwithdrawal_report_id_key UNIQUE (report_id);
ALTER TABLE ONLY public.staff_accountevent
    ADD CONSTRAINT staff_accountevent_pkey PRIMARY KEY (id);
ALTER TABLE ONLY public.staff_counter
    ADD CONSTRAINT staff_counter_pkey PRIMARY KEY (key);
ALTER TABLE ONLY public.staff_knownaddress
    ADD CONSTRAINT staff_knownaddress_pkey PRIMARY KEY (id);
ALTER TABLE ONLY public.staff_person
    ADD CONSTRAINT staff_person_pkey PRIMARY KEY (id);
ALTER TABLE ONLY public.staff_person
    ADD CONSTRAINT staff_person_username_key UNIQUE (username);
ALTER TABLE ONLY public.staff_session
    ADD CONSTRAINT staff_session_pkey PRIMARY KEY (session_key);
ALTER TABLE ONLY public.staff_shopprofile
    ADD CONSTRAINT staff_shopprofile_pkey PRIMARY KEY (id);
ALTER TABLE ONLY public.taxes_jobtaxes
    ADD CONSTRAINT taxes_jobtaxes_pkey PRIMARY KEY (job_id);
ALTER TABLE ONLY public.taxes_salestax
    ADD CONSTRAINT taxes_salestax_name_key UNIQUE (name);
ALTER TABLE ONLY public.taxes_salestax
    ADD CONSTRAINT taxes_salestax_pkey PRIMARY KEY (id);
ALTER TABLE ONLY public.taxes_taxexemption
    ADD CONSTRAINT taxes_taxexemption_pkey PRIMARY KEY (id);
ALTER TABLE ONLY public.taxes_taxrate
    ADD CONSTRAINT taxes_taxrate_pkey PRIMARY KEY (id);
ALTER TABLE ONLY public.upkeep_adoption
    ADD CONSTRAINT upkeep_adoption_pkey PRIMARY KEY (id);
ALTER TABLE ONLY public.upkeep_judgment
    ADD CONSTRAINT upkeep_judgment_pkey PRIMARY KEY (adoption_id);
ALTER TABLE ONLY public.upkeep_layup
    ADD CONSTRAINT upkeep_layup_pkey PRIMARY KEY (id);
ALTER TABLE ONLY public.upkeep_plannedline
    ADD CONSTRAINT upkeep_plannedline_pkey PRIMARY KEY (line_id);
ALTER TABLE ONLY public.upkeep_planversion
    ADD CONSTRAINT upkeep_planversion_pkey PRIMARY KEY (id);
ALTER TABLE ONLY public.upkeep_reminder
    ADD CONSTRAINT upkeep_reminder_pkey PRIMARY KEY (id);
ALTER TABLE ONLY public.upkeep_reminderletter
    ADD CONSTRAINT upkeep_reminderletter_pkey PRIMARY KEY (id);
ALTER TABLE ONLY public.upkeep_reminderwish
    ADD CONSTRAINT upkeep_reminderwish_pkey PRIMARY KEY (id);
ALTER TABLE ONLY public.upkeep_servicedone
    ADD CONSTRAINT upkeep_servicedone_pkey PRIMARY KEY (entry_id);
ALTER TABLE ONLY public.upkeep_serviceof
    ADD CONSTRAINT upkeep_serviceof_pkey PRIMARY KEY (id);
ALTER TABLE ONLY public.upkeep_serviceplan
    ADD CONSTRAINT upkeep_serviceplan_pkey PRIMARY KEY (id);
ALTER TABLE ONLY public.upkeep_stalemark
    ADD CONSTRAINT upkeep_stalemark_pkey PRIMARY KEY (id);
ALTER TABLE ONLY public.vessels_controlunit
    ADD CONSTRAINT vessels_controlunit_pkey PRIMARY KEY (id);
ALTER TABLE ONLY public.vessels_customer
    ADD CONSTRAINT vessels_customer_pkey PRIMARY KEY (id);
ALTER TABLE ONLY public.vessels_customeremail
    ADD CONSTRAINT vessels_customeremail_pkey PRIMARY KEY (id);
ALTER TABLE ONLY public.vessels_customerphone
    ADD CONSTRAINT vessels_customerphone_pkey PRIMARY KEY (id);
ALTER TABLE ONLY public.vessels_customerspelling
    ADD CONSTRAINT vessels_customerspelling_pkey PRIMARY KEY (customer_id);
ALTER TABLE ONLY public.vessels_detailschange
    ADD CONSTRAINT vessels_detailschange_pkey PRIMARY KEY (entry_id);
ALTER TABLE ONLY public.vessels_engine
    ADD CONSTRAINT vessels_engine_pkey PRIMARY KEY (id);
ALTER TABLE ONLY public.vessels_enginefamily
    ADD CONSTRAINT vessels_enginefamily_pkey PRIMARY KEY (id);
ALTER TABLE ONLY public.vessels_hourmeter
    ADD CONSTRAINT vessels_hourmeter_pkey PRIMARY KEY (id);
ALTER TABLE ONLY public.vessels_hourreading
    ADD CONSTRAINT vessels_hourreading_pkey PRIMARY KEY (entry_id);
ALTER TABLE ONLY public.vessels_loganchor
    ADD CONSTRAINT vessels_loganchor_head_key UNIQUE (head);
ALTER TABLE ONLY public.vessels_loganchor
    ADD CONSTRAINT vessels_loganchor_pkey PRIMARY KEY (number);
ALTER TABLE ONLY public.vessels_logentry
    ADD CONSTRAINT vessels_logentry_pkey PRIMARY KEY (id);
ALTER TABLE ONLY public.vessels_meterreplacement
    ADD CONSTRAINT vessels_meterreplacement_pkey PRIMARY KEY (entry_id);
ALTER TABLE ONLY public.vessels_ownerchange
    ADD CONSTRAINT vessels_ownerchange_pkey PRIMARY KEY (entry_id);
ALTER TABLE ONLY public.vessels_ownership
    ADD CONSTRAINT vessels_ownership_pkey PRIMARY KEY (id);
ALTER TABLE ONLY public.vessels_unitfitting
    ADD CONSTRAINT vessels_unitfitting_pkey PRIMARY KEY (entry_id);
ALTER TABLE ONLY public.vessels_unitidentification
    ADD CONSTRAINT vessels_unitidentification_pkey PRIMARY KEY (entry_id);
ALTER TABLE ONLY public.vessels_vessel
    ADD CONSTRAINT vessels_vessel_pkey PRIMARY KEY (id);
ALTER TABLE ONLY public.vessels_vesselspelling
    ADD CONSTRAINT vessels_vesselspelling_pkey PRIMARY KEY (vessel_id);
ALTER TABLE ONLY public.workorders_charge
    ADD CONSTRAINT workorders_charge_entry_id_key UNIQUE (entry_id);
ALTER TABLE ONLY public.workorders_charge
    ADD CONSTRAINT workorders_charge_pkey PRIMARY KEY (id);
ALTER TABLE ONLY public.workorders_job
    ADD CONSTRAINT workorders_job_number_key UNIQUE (number);
ALTER TABLE ONLY public.workorders_job
    ADD CONSTRAINT workorders_job_pkey PRIMARY KEY (id);
ALTER TABLE ONLY public.workorders_jobchange
    ADD CONSTRAINT workorders_jobchange_pkey PRIMARY KEY (entry_id);
ALTER TABLE ONLY public.workorders_jobline_done_by
    ADD CONSTRAINT workorders_jobline_done_by_jobline_id_person_id_735cb099_uniq UNIQUE (jobline_id, person_id);
ALTER TABLE ONLY public.workorders_jobline_done_by
    ADD CONSTRAINT workorders_jobline_done_by_pkey PRIMARY KEY (id);
ALTER TABLE ONLY public.workorders_jobline
    ADD CONSTRAINT workorders_jobline_pkey PRIMARY KEY (id);
ALTER TABLE ONLY public.workorders_jobmove
    ADD CONSTRAINT workorders_jobmove_pkey PRIMARY KEY (entry_id);
ALTER TABLE ONLY public.workorders_jobnumber
    ADD CONSTRAINT workorders_jobnumber_pkey PRIMARY KEY (id);
ALTER TABLE ONLY public.workorders_moveintime
    ADD CONSTRAINT workorders_moveintime_pkey PRIMARY KEY (entry_id);
ALTER TABLE ONLY public.workorders_sold
    ADD CONSTRAINT workorders_sold_pkey PRIMARY KEY (id);
ALTER TABLE ONLY public.workorders_stretch
    ADD CONSTRAINT workorders_stretch_amends_id_key UNIQUE (amends_id);
ALTER TABLE ONLY public.workorders_stretch
    ADD CONSTRAINT workorders_stretch_pkey PRIMARY KEY (id);
ALTER TABLE ONLY public.workorders_stretchend
    ADD CONSTRAINT workorders_stretchend_pkey PRIMARY KEY (id);
ALTER TABLE ONLY public.workorders_stretchvoid
    ADD CONSTRAINT workorders_stretchvoid_pkey PRIMARY KEY (id);
ALTER TABLE ONLY public.workorders_stretchvoid
    ADD CONSTRAINT workorders_stretchvoid_stretch_id_key UNIQUE (stretch_id);
CREATE UNIQUE INDEX a_stretch_is_charged_once ON public.workorders_sold USING btree (root_id) WHERE (freed_at IS NULL);
CREATE INDEX account_emailaddress_email_03be32b2 ON public.account_emailaddress USING btree (email);
CREATE INDEX account_emailaddress_email_03be32b2_like ON public.account_emailaddress USING btree (email varchar_pattern_ops);
CREATE INDEX account_emailaddress_user_id_2c513194 ON public.account_emailaddress USING btree (user_id);
CREATE INDEX account_emailconfirmation_email_address_id_5b7f8c58 ON public.account_emailconfirmation USING btree (email_address_id);
CREATE INDEX account_emailconfirmation_key_f43612bd_like ON public.account_emailconfirmation USING btree (key varchar_pattern_ops);
CREATE INDEX account_events_of_person ON public.staff_accountevent USING btree (person_id, at DESC);
CREATE INDEX appointments_appointment_added_by_id_9e3f05c8 ON public.appointments_appointment USING btree (added_by_id);
CREATE INDEX appointments_appointment_bay_id_52fabf9a ON public.appointments_appointment USING btree (bay_id);
CREATE INDEX appointments_appointment_changed_by_id_f447313a ON public.appointments_appointment USING btree (changed_by_id);
CREATE INDEX appointments_appointment_job_id_90a5fb6e ON public.appointments_appointment USING btree (job_id);
CREATE INDEX appointments_appointment_technician_id_8da81c75 ON public.appointments_appointment USING btree (technician_id);
CREATE INDEX appointments_appointment_vessel_id_20d0ca31 ON public.appointments_appointment USING btree (vessel_id);
CREATE INDEX appointments_appointmentchange_appointment_id_e0246c1c ON public.appointments_appointmentchange USING btree (appointment_id);
CREATE INDEX appointments_appointmentchange_by_id_27b97ad3 ON public.appointments_appointmentchange USING btree (by_id);
CREATE INDEX appointments_bay_added_by_id_9203413a ON public.appointments_bay USING btree (added_by_id);
CREATE INDEX appointments_bay_changed_by_id_81a9c801 ON public.appointments_bay USING btree (changed_by_id);
CREATE INDEX appointments_bay_ended_by_id_67345397 ON public.appointments_bay USING btree (ended_by_id);
CREATE INDEX appointments_by_time ON public.appointments_appointment USING btree (starts_at, ends_at);
CREATE INDEX appointments_of_vessel ON public.appointments_appointment USING btree (vessel_id, starts_at);
CREATE INDEX auth_group_name_a6ea08ec_like ON public.auth_group USING btree (name varchar_pattern_ops);
CREATE INDEX auth_group_permissions_group_id_b120cbf9 ON public.auth_group_permissions USING btree (group_id);
CREATE INDEX auth_group_permissions_permission_id_84c5c92e ON public.auth_group_permissions USING btree (permission_id);
CREATE INDEX auth_permission_content_type_id_2f476e4b ON public.auth_permission USING btree (content_type_id);
CREATE INDEX authorizations_answeredpiece_authorization_id_12b9a39c ON public.authorizations_answeredpiece USING btree (authorization_id);
CREATE INDEX authorizations_authorization_job_id_f7b108f9 ON public.authorizations_authorization USING btree (job_id);
CREATE INDEX authorizations_authorization_line_id_83c54b48 ON public.authorizations_authorization USING btree (line_id);
CREATE INDEX authorizations_authorization_noted_by_id_2ac3218d ON public.authorizations_authorization USING btree (noted_by_id);
CREATE INDEX authorizations_authorization_withdrawn_by_id_34eb0ac4 ON public.authorizations_authorization USING btree (withdrawn_by_id);
CREATE INDEX authorizations_authorizationpaper_authorization_id_3f8c113b ON public.authorizations_authorizationpaper USING btree (authorization_id);
CREATE INDEX authorizations_authorizationrules_changed_by_id_b6b9529a ON public.authorizations_authorizationrules USING btree (changed_by_id);
CREATE INDEX authorizations_deferredstep_by_id_bcfb5969 ON public.authorizations_deferredstep USING btree (by_id);
CREATE INDEX authorizations_deferredstep_job_id_faa922d8 ON public.authorizations_deferredstep USING btree (job_id);
CREATE INDEX authorizations_deferredstep_line_id_0704ab23 ON public.authorizations_deferredstep USING btree (line_id);
CREATE INDEX authorizations_deferredstep_work_id_3271cedd ON public.authorizations_deferredstep USING btree (work_id);
CREATE INDEX authorizations_deferredwork_authorization_id_bbc5d843 ON public.authorizations_deferredwork USING btree (authorization_id);
CREATE INDEX authorizations_deferredwork_engine_id_f80b53fb ON public.authorizations_deferredwork USING btree (engine_id);
CREATE INDEX authorizations_deferredwork_job_id_e888e3ee ON public.authorizations_deferredwork USING btree (job_id);
CREATE INDEX authorizations_deferredwork_vessel_id_a81c3b25 ON public.authorizations_deferredwork USING btree (vessel_id);
CREATE INDEX authorizations_goingon_after_id_174ea61b ON public.authorizations_goingon USING btree (after_id);
CREATE INDEX authorizations_goingon_job_id_15519f3a ON public.authorizations_goingon USING btree (job_id);
CREATE INDEX authorizations_goingon_noted_by_id_413db144 ON public.authorizations_goingon USING btree (noted_by_id);
CREATE INDEX authorizations_letgo_noted_by_id_6ba65f5d ON public.authorizations_letgo USING btree (noted_by_id);
CREATE INDEX authorizations_stoppedcharge_by_id_113b9a8b ON public.authorizations_stoppedcharge USING btree (by_id);
CREATE INDEX authorizations_stoppedcharge_job_id_9299fb87 ON public.authorizations_stoppedcharge USING btree (job_id);
CREATE INDEX authorizations_stoppedcharge_last_id_8002d353 ON public.authorizations_stoppedcharge USING btree (last_id);
CREATE INDEX authorizations_stoppedcharge_line_id_052c0b0c ON public.authorizations_stoppedcharge USING btree (line_id);
CREATE INDEX calendar_calendarfeed_key_sha256_1289cdbf_like ON public.calendar_calendarfeed USING btree (key_sha256 varchar_pattern_ops);
CREATE INDEX calendar_calendarfeed_person_id_44b88231 ON public.calendar_calendarfeed USING btree (person_id);
CREATE INDEX calendar_calendarfeed_revoked_by_id_fd8714cd ON public.calendar_calendarfeed USING btree (revoked_by_id);
CREATE INDEX calendar_eventtold_key_a8137bf5_like ON public.calendar_eventtold USING btree (key varchar_pattern_ops);
CREATE INDEX calls_call_by_id_12ffe8fe ON public.calls_call USING btree (by_id);
CREATE INDEX calls_call_customer_id_e027fdd7 ON public.calls_call USING btree (customer_id);
CREATE INDEX calls_call_job_id_829f2061 ON public.calls_call USING btree (job_id);
CREATE INDEX calls_of_job ON public.calls_call USING btree (job_id, at DESC, id DESC);
CREATE INDEX canlogs_canlog_brought_by_id_b61bfc21 ON public.canlogs_canlog USING btree (brought_by_id);
CREATE INDEX canlogs_canlog_job_id_523539ca ON public.canlogs_canlog USING btree (job_id);
CREATE INDEX canlogs_canlog_sha256_572f9ff0 ON public.canlogs_canlog USING btree (sha256);
CREATE INDEX canlogs_canlog_sha256_572f9ff0_like ON public.canlogs_canlog USING btree (sha256 varchar_pattern_ops);
CREATE INDEX comebacks_newest_first ON public.faults_episode USING btree (opened_at DESC) WHERE is_comeback;
CREATE INDEX commands_by_actor ON public.commands_command USING btree (actor_id, received_at DESC, id);
CREATE INDEX commands_by_kind ON public.commands_command USING btree (kind, received_at DESC, id);
CREATE INDEX commands_by_record ON public.commands_command USING gin (records) WITH (fastupdate=off);
CREATE INDEX commands_commandchain_name_30c6efaf_like ON public.commands_commandchain USING btree (name varchar_pattern_ops);
CREATE INDEX commands_newest_first ON public.commands_command USING btree (received_at DESC, id);
CREATE INDEX credit_by_day ON public.invoices_creditnote USING btree (issued_on);
CREATE INDEX customer_name ON public.vessels_customer USING btree (lower((name)::text), id);
CREATE INDEX customer_spelling ON public.vessels_customerspelling USING gin (keys) WITH (fastupdate=off);
CREATE INDEX customer_words ON public.vessels_customer USING gin (to_tsvector('simple'::regconfig, (((COALESCE(name, ''::character varying))::text || ' '::text) || (COALESCE(contact, ''::character varying))::text)));
CREATE INDEX deferred_by_state ON public.authorizations_deferredwork USING btree (state, declined_at DESC, id DESC);
CREATE INDEX deferred_of_a_vessel ON public.authorizations_deferredwork USING btree (vessel_id, state);
CREATE INDEX django_session_expire_date_a5c62663 ON public.django_session USING btree (expire_date);
CREATE INDEX django_session_session_key_c0390e0f_like ON public.django_session USING btree (session_key varchar_pattern_ops);
CREATE INDEX documents_notice_changed_by_id_1b705ef4 ON public.documents_notice USING btree (changed_by_id);
CREATE INDEX documents_numberseries_name_72f2d9f4_like ON public.documents_numberseries USING btree (name varchar_pattern_ops);
CREATE INDEX email_address ON public.vessels_customeremail USING btree (lower((address)::text) text_pattern_ops);
CREATE INDEX engine_serial ON public.vessels_engine USING btree (upper(replace(replace((serial)::text, '-'::text, ''::text), ' '::text, ''::text)) text_pattern_ops);
CREATE INDEX engine_words ON public.vessels_engine USING gin (to_tsvector('simple'::regconfig, (((COALESCE(maker, ''::character varying))::text || ' '::text) || (COALESCE(model, ''::character varying))::text)));
CREATE INDEX estimates_estimate_changed_by_id_da49ba7c ON public.estimates_estimate USING btree (changed_by_id);
CREATE INDEX estimates_estimate_given_by_id_6afd0fa9 ON public.estimates_estimate USING btree (given_by_id);
CREATE INDEX estimates_estimate_job_id_c584fda2 ON public.estimates_estimate USING btree (job_id);
CREATE INDEX estimates_estimate_started_by_id_86a2ce87 ON public.estimates_estimate USING btree (started_by_id);
CREATE INDEX estimates_estimateline_changed_by_id_0562c767 ON public.estimates_estimateline USING btree (changed_by_id);
CREATE INDEX estimates_estimateline_estimate_id_d37a1a75 ON public.estimates_estimateline USING btree (estimate_id);
CREATE INDEX estimates_estimateline_job_line_id_6ddf7ef5 ON public.estimates_estimateline USING btree (job_line_id);
CREATE INDEX estimates_estimateline_option_id_0bed02bb ON public.estimates_estimateline USING btree (option_id);
CREATE INDEX estimates_estimateline_part_id_876104cf ON public.estimates_estimateline USING btree (part_id);
CREATE INDEX estimates_estimateoption_changed_by_id_e96352a3 ON public.estimates_estimateoption USING btree (changed_by_id);
CREATE INDEX estimates_estimateoption_estimate_id_1b302d10 ON public.estimates_estimateoption USING btree (estimate_id);
CREATE INDEX estimates_kit_changed_by_id_1a5d3ddf ON public.estimates_kit USING btree (changed_by_id);
CREATE INDEX estimates_kit_name_522a0784_like ON public.estimates_kit USING btree (name varchar_pattern_ops);
CREATE INDEX estimates_kitline_changed_by_id_c090e061 ON public.estimates_kitline USING btree (changed_by_id);
CREATE INDEX estimates_kitline_kit_id_7df22405 ON public.estimates_kitline USING btree (kit_id);
CREATE INDEX estimates_kitline_part_id_dfe07f19 ON public.estimates_kitline USING btree (part_id);
CREATE INDEX faults_by_code_open ON public.faults_fault USING btree (system, code, is_open DESC, last_seen_at DESC);
CREATE INDEX faults_by_code_seen ON public.faults_fault USING btree (system, code, last_seen_at DESC);
CREATE INDEX faults_by_makers_code ON public.faults_fault USING btree (code varchar_pattern_ops) WHERE ((system)::text = 'maker'::text);
CREATE INDEX faults_clear_unit_id_dc960dcc ON public.faults_clear USING btree (unit_id);
CREATE INDEX faults_clearedfault_clear_id_6a9f31a6 ON public.faults_clearedfault USING btree (clear_id);
CREATE INDEX faults_clearedfault_fault_id_ade1c4b3 ON public.faults_clearedfault USING btree (fault_id);
CREATE INDEX faults_episode_closing_id_c376e912 ON public.faults_episode USING btree (closing_id);
CREATE INDEX faults_episode_fault_id_1770cb09 ON public.faults_episode USING btree (fault_id);
CREATE INDEX faults_episode_opening_id_0b6a49eb ON public.faults_episode USING btree (opening_id);
CREATE INDEX faults_episode_work_id_34251e93 ON public.faults_episode USING btree (work_id);
CREATE INDEX faults_fault_engine_id_a3ad29f9 ON public.faults_fault USING btree (engine_id);
CREATE INDEX faults_fault_unit_id_9a0e2384 ON public.faults_fault USING btree (unit_id);
CREATE INDEX faults_fault_vessel_id_ded436af ON public.faults_fault USING btree (vessel_id);
CREATE INDEX faults_of_engine ON public.faults_fault USING btree (engine_id, system, code);
CREATE INDEX faults_of_vessel ON public.faults_fault USING btree (vessel_id, is_open DESC, last_seen_at DESC);
CREATE INDEX faults_scan_unit_id_8ed8e457 ON public.faults_scan USING btree (unit_id);
CREATE INDEX faults_sighting_fault_id_02b14abe ON public.faults_sighting USING btree (fault_id);
CREATE INDEX faults_sighting_scan_id_738ec449 ON public.faults_sighting USING btree (scan_id);
CREATE INDEX faults_that_return ON public.faults_fault USING btree (returns DESC, last_seen_at DESC);
CREATE INDEX faults_workdone_line_id_9362d90e ON public.faults_workdone USING btree (line_id);
CREATE INDEX faults_workonfault_fault_id_3f27df35 ON public.faults_workonfault USING btree (fault_id);
CREATE INDEX faults_workonfault_work_id_59ee709b ON public.faults_workonfault USING btree (work_id);
CREATE INDEX fitted_number_start ON public.jobparts_partfitted USING btree (upper(replace(replace((number)::text, '-'::text, ''::text), ' '::text, ''::text)) text_pattern_ops);
CREATE INDEX fitted_old_serial ON public.jobparts_partfitted USING btree (upper(replace(replace((old_serial)::text, '-'::text, ''::text), ' '::text, ''::text)) text_pattern_ops);
CREATE INDEX fitted_serial_start ON public.jobparts_partfitted USING btree (upper(replace(replace((serial)::text, '-'::text, ''::text), ' '::text, ''::text)) text_pattern_ops);
CREATE INDEX happenings_endedchange_back_id_bb73120b ON public.happenings_endedchange USING btree (back_id);
CREATE INDEX happenings_endedchange_change_id_2c6a57bc ON public.happenings_endedchange USING btree (change_id);
CREATE INDEX happenings_settingback_change_id_d381d02a ON public.happenings_settingback USING btree (change_id);
CREATE INDEX happenings_settingchange_first_id_cdf716df ON public.happenings_settingchange USING btree (first_id);
CREATE INDEX instruments_calibration_added_by_id_ee7686ea ON public.instruments_calibration USING btree (added_by_id);
CREATE INDEX instruments_calibration_instrument_id_3d1f9b0c ON public.instruments_calibration USING btree (instrument_id);
CREATE INDEX instruments_calibration_struck_by_id_5e4dbd52 ON public.instruments_calibration USING btree (struck_by_id);
CREATE INDEX instruments_instrument_changed_by_id_34b6b7aa ON public.instruments_instrument USING btree (changed_by_id);
CREATE INDEX invoice_by_day ON public.invoices_invoice USING btree (issued_on);
CREATE INDEX invoice_of_customer ON public.invoices_invoice USING btree (customer_id, issued_on);
CREATE INDEX invoices_account_changed_by_id_e4de0b8d ON public.invoices_account USING btree (changed_by_id);
CREATE INDEX invoices_account_role_4322bf15_like ON public.invoices_account USING btree (role varchar_pattern_ops);
CREATE INDEX invoices_billingprofile_changed_by_id_d3aaa263 ON public.invoices_billingprofile USING btree (changed_by_id);
CREATE INDEX invoices_creditedcharge_credit_id_9f60cf67 ON public.invoices_creditedcharge USING btree (credit_id);
CREATE INDEX invoices_creditnote_customer_id_c014f983 ON public.invoices_creditnote USING btree (customer_id);
CREATE INDEX invoices_creditnote_invoice_id_b5701f76 ON public.invoices_creditnote USING btree (invoice_id);
CREATE INDEX invoices_creditnote_made_by_id_a5e8eead ON public.invoices_creditnote USING btree (made_by_id);
CREATE INDEX invoices_creditnote_number_222694da_like ON public.invoices_creditnote USING btree (number varchar_pattern_ops);
CREATE INDEX invoices_customerbilling_changed_by_id_d6911833 ON public.invoices_customerbilling USING btree (changed_by_id);
CREATE INDEX invoices_invoice_customer_id_137e7301 ON public.invoices_invoice USING btree (customer_id);
CREATE INDEX invoices_invoice_job_id_63c0c78c ON public.invoices_invoice USING btree (job_id);
CREATE INDEX invoices_invoice_made_by_id_43e01fe5 ON public.invoices_invoice USING btree (made_by_id);
CREATE INDEX invoices_invoice_number_a7116fce_like ON public.invoices_invoice USING btree (number varchar_pattern_ops);
CREATE INDEX invoices_invoicedcharge_invoice_id_d0993da3 ON public.invoices_invoicedcharge USING btree (invoice_id);
CREATE INDEX invoices_loosewriteoff_by_id_24479aac ON public.invoices_loosewriteoff USING btree (by_id);
CREATE INDEX invoices_loosewriteoff_customer_id_2ecbcf97 ON public.invoices_loosewriteoff USING btree (customer_id);
CREATE INDEX invoices_payment_by_id_74af11b2 ON public.invoices_payment USING btree (by_id);
CREATE INDEX invoices_payment_customer_id_6fb04e6c ON public.invoices_payment USING btree (customer_id);
CREATE INDEX invoices_payment_invoice_id_d69b2c32 ON public.invoices_payment USING btree (invoice_id);
CREATE INDEX invoices_payment_job_id_71cd921c ON public.invoices_payment USING btree (job_id);
CREATE INDEX invoices_use_by_id_d7bacffe ON public.invoices_use USING btree (by_id);
CREATE INDEX invoices_use_credit_id_75bed739 ON public.invoices_use USING btree (credit_id);
CREATE INDEX invoices_use_invoice_id_e02922d5 ON public.invoices_use USING btree (invoice_id);
CREATE INDEX invoices_use_off_id_5ad19e2d ON public.invoices_use USING btree (off_id);
CREATE INDEX invoices_use_out_id_964863a7 ON public.invoices_use USING btree (out_id);
CREATE INDEX invoices_use_payment_id_bccd83a7 ON public.invoices_use USING btree (payment_id);
CREATE INDEX invoices_writeoff_by_id_f096dd28 ON public.invoices_writeoff USING btree (by_id);
CREATE INDEX invoices_writeoff_invoice_id_7a170a79 ON public.invoices_writeoff USING btree (invoice_id);
CREATE INDEX job_board ON public.workorders_job USING btree (state, promised_on);
CREATE INDEX job_by_end ON public.workorders_job USING btree (COALESCE(closed_at, '9999-01-01 00:00:00+00'::timestamp with time zone), id);
CREATE INDEX job_by_opening ON public.workorders_job USING btree (opened_at, id);
CREATE INDEX job_by_promise ON public.workorders_job USING btree (COALESCE(promised_on, '9999-12-31'::date), id);
CREATE INDEX job_by_state ON public.workorders_job USING btree (state, id);
CREATE INDEX job_of_vessel ON public.workorders_job USING btree (vessel_id, opened_at DESC);
CREATE INDEX jobparts_awaitedpart_added_by_id_feb7a5cf ON public.jobparts_awaitedpart USING btree (added_by_id);
CREATE INDEX jobparts_awaitedpart_arrived_by_id_18e1fd2b ON public.jobparts_awaitedpart USING btree (arrived_by_id);
CREATE INDEX jobparts_awaitedpart_canceled_by_id_dce40dd3 ON public.jobparts_awaitedpart USING btree (canceled_by_id);
CREATE INDEX jobparts_awaitedpart_changed_by_id_a8c2b8ad ON public.jobparts_awaitedpart USING btree (changed_by_id);
CREATE INDEX jobparts_awaitedpart_job_id_255db5d5 ON public.jobparts_awaitedpart USING btree (job_id);
CREATE INDEX jobparts_awaitedpart_line_id_2df9a47f ON public.jobparts_awaitedpart USING btree (line_id);
CREATE INDEX jobparts_awaitedpart_order_id_716b994b ON public.jobparts_awaitedpart USING btree (order_id);
CREATE INDEX jobparts_awaitedpart_part_id_9c33acd6 ON public.jobparts_awaitedpart USING btree (part_id);
CREATE INDEX jobparts_fittedcharge_as_charged_id_0dba3fe3 ON public.jobparts_fittedcharge USING btree (as_charged_id);
CREATE INDEX jobparts_fittedcharge_fitted_id_85131378 ON public.jobparts_fittedcharge USING btree (fitted_id);
CREATE INDEX jobparts_partfitted_first_id_7a25eaa6 ON public.jobparts_partfitted USING btree (first_id);
CREATE INDEX jobparts_partfitted_line_id_9a738a5b ON public.jobparts_partfitted USING btree (line_id);
CREATE INDEX jobparts_partfitted_part_id_b34a26bb ON public.jobparts_partfitted USING btree (part_id);
CREATE INDEX judgments_by_day ON public.upkeep_judgment USING btree (judged_on);
CREATE INDEX judgments_by_day_due ON public.upkeep_judgment USING btree (due_on, adoption_id);
CREATE INDEX judgments_by_day_told ON public.upkeep_judgment USING btree (told_on, adoption_id);
CREATE INDEX judgments_by_rules ON public.upkeep_judgment USING btree (rules);
CREATE INDEX judgments_in_order ON public.upkeep_judgment USING btree (place, adoption_id);
CREATE INDEX judgments_of_owner ON public.upkeep_judgment USING btree (owner_id, place);
CREATE INDEX judgments_that_turn ON public.upkeep_judgment USING btree (turns_on);
CREATE INDEX labor_by_day ON public.workorders_stretch USING btree (person_id, day);
CREATE INDEX labor_by_person ON public.workorders_stretch USING btree (person_id, started_at DESC, id DESC);
CREATE INDEX labor_charged_by_day ON public.workorders_charge USING btree (added_at) WHERE (((kind)::text = 'labor'::text) AND (struck_at IS NULL));
CREATE INDEX labor_charged_on_line ON public.workorders_charge USING btree (line_id, id) INCLUDE (quantity) WHERE (((kind)::text = 'labor'::text) AND (struck_at IS NULL));
CREATE INDEX labor_not_known ON public.workorders_stretch USING btree (person_id) WHERE (minutes IS NULL);
CREATE INDEX labor_of_days ON public.workorders_stretch USING btree (day);
CREATE INDEX log_at_hours ON public.vessels_logentry USING btree (engine_id, happened_at DESC, "position" DESC) WHERE (engine_hours IS NOT NULL);
CREATE INDEX log_by_author ON public.vessels_logentry USING btree (author_id, recorded_at DESC);
CREATE INDEX log_by_engine ON public.vessels_logentry USING btree (engine_id, happened_at DESC, "position" DESC);
CREATE INDEX log_by_job ON public.vessels_logentry USING btree (job_id, happened_at DESC, "position" DESC);
CREATE INDEX log_newest_first ON public.vessels_logentry USING btree (vessel_id, happened_at DESC, "position" DESC);
CREATE INDEX log_of_job_moves ON public.vessels_logentry USING btree (recorded_at) WHERE (kind IN ('job-opened', 'job-moved'));
CREATE INDEX loose_write_off_by_day ON public.invoices_loosewriteoff USING btree (day);
CREATE INDEX mfa_authenticator_user_id_0c3a50c0 ON public.mfa_authenticator USING btree (user_id);
CREATE INDEX moves_in_time ON public.workorders_moveintime USING btree (recorded_at);
CREATE UNIQUE INDEX one_adoption_of_a_plan ON public.upkeep_adoption USING btree (engine_id, plan_id) WHERE (ended_at IS NULL);
CREATE UNIQUE INDEX one_bay_per_name ON public.appointments_bay USING btree (lower((name)::text)) WHERE (ended_at IS NULL);
CREATE UNIQUE INDEX one_calibration_per_day ON public.instruments_calibration USING btree (instrument_id, calibrated_on) WHERE (struck_at IS NULL);
CREATE UNIQUE INDEX one_draft_estimate_of_a_job ON public.estimates_estimate USING btree (job_id) WHERE (given_at IS NULL);
CREATE UNIQUE INDEX one_engine_per_position ON public.vessels_engine USING btree (vessel_id, "position") WHERE ((removed_on IS NULL) AND (NOT (("position")::text = 'generator'::text)));
CREATE UNIQUE INDEX one_family_per_name ON public.vessels_enginefamily USING btree (lower((maker)::text), lower((name)::text));
CREATE UNIQUE INDEX one_instrument_per_serial ON public.instruments_instrument USING btree (lower((make)::text), lower((serial)::text)) WHERE (NOT ((serial)::text = ''::text));
CREATE UNIQUE INDEX one_letter_waits_per_customer ON public.upkeep_reminderletter USING btree (customer_id) WHERE ((discarded_at IS NULL) AND (sent_at IS NULL));
CREATE UNIQUE INDEX one_open_background_task_of_a_subject ON public.commands_backgroundtask USING btree (kind, subject) WHERE (state IN ('asked', 'taken'));
CREATE UNIQUE INDEX one_open_clock_per_person ON public.workorders_stretch USING btree (person_id) WHERE is_open;
CREATE UNIQUE INDEX one_open_draft_per_job ON public.reports_reportdraft USING btree (job_id) WHERE (NOT ((state)::text = 'issued'::text));
CREATE UNIQUE INDEX one_owner_now ON public.vessels_ownership USING btree (vessel_id) WHERE (until IS NULL);
CREATE UNIQUE INDEX one_parameter_per_name ON public.readings_parameter USING btree (lower((name)::text));
CREATE UNIQUE INDEX one_part_per_number ON public.parts_part USING btree (upper((number)::text), upper((maker)::text));
CREATE UNIQUE INDEX one_plan_per_family_and_name ON public.upkeep_serviceplan USING btree (family_id, lower((name)::text)) WHERE (ended_at IS NULL);
CREATE UNIQUE INDEX one_sheet_per_family_and_name ON public.readings_readingsheet USING btree (family_id, lower((name)::text)) WHERE (ended_at IS NULL);
CREATE UNIQUE INDEX one_vessel_per_hin ON public.vessels_vessel USING btree (hin) WHERE (NOT ((hin)::text = ''::text));
CREATE INDEX part_by_number ON public.parts_part USING btree (upper((number)::text), id);
CREATE INDEX part_number_start ON public.parts_part USING btree (upper(replace(replace((number)::text, '-'::text, ''::text), ' '::text, ''::text)) text_pattern_ops);
CREATE INDEX part_words ON public.parts_part USING gin (to_tsvector('simple'::regconfig, (((COALESCE(description, ''::character varying))::text || ' '::text) || (COALESCE(maker, ''::character varying))::text)));
CREATE INDEX parts_part_changed_by_id_24f0c83a ON public.parts_part USING btree (changed_by_id);
CREATE INDEX payment_by_day ON public.invoices_payment USING btree (day);
CREATE INDEX payment_by_reference ON public.invoices_payment USING btree (upper((reference)::text)) WHERE (NOT ((reference)::text = ''::text));
CREATE INDEX payment_of_customer ON public.invoices_payment USING btree (customer_id, day);
CREATE INDEX phone_backwards ON public.vessels_customerphone USING btree (reverse((digits)::text) text_pattern_ops);
CREATE INDEX phone_digits ON public.vessels_customerphone USING btree (digits);
CREATE INDEX phone_forwards ON public.vessels_customerphone USING btree (digits varchar_pattern_ops);
CREATE INDEX readings_by_instrument ON public.readings_reading USING btree (registered_id) WHERE (registered_id IS NOT NULL);
CREATE INDEX readings_cardwords_card_id_e7050a4c ON public.readings_cardwords USING btree (card_id);
CREATE INDEX readings_cardwords_family_id_65197635 ON public.readings_cardwords USING btree (family_id);
CREATE INDEX readings_cardwords_said_by_id_8ba218e5 ON public.readings_cardwords USING btree (said_by_id);
CREATE INDEX readings_from_a_file ON public.readings_reading USING btree (file_sha256) WHERE (file_sha256 IS NOT NULL);
CREATE INDEX readings_learnedname_learned_by_id_694405fe ON public.readings_learnedname USING btree (learned_by_id);
CREATE INDEX readings_learnedname_parameter_id_e7219951 ON public.readings_learnedname USING btree (parameter_id);
CREATE INDEX readings_learnedname_registered_id_baf54db3 ON public.readings_learnedname USING btree (registered_id);
CREATE INDEX readings_of_parameter ON public.readings_reading USING btree (parameter_id);
CREATE INDEX readings_reading_judged_by_id_3c4fcfb5 ON public.readings_reading USING btree (judged_by_id);
CREATE INDEX readings_reading_parameter_id_3f6ae020 ON public.readings_reading USING btree (parameter_id);
CREATE INDEX readings_readingsheet_family_id_94c9cc7e ON public.readings_readingsheet USING btree (family_id);
CREATE INDEX readings_readingsheet_made_by_id_1ede8de5 ON public.readings_readingsheet USING btree (made_by_id);
CREATE INDEX readings_sheetrow_parameter_id_e2f19bfa ON public.readings_sheetrow USING btree (parameter_id);
CREATE INDEX readings_sheetrow_version_id_b5f73c74 ON public.readings_sheetrow USING btree (version_id);
CREATE INDEX readings_sheetversion_saved_by_id_e9a7d3ed ON public.readings_sheetversion USING btree (saved_by_id);
CREATE INDEX readings_sheetversion_sheet_id_eb1eb79d ON public.readings_sheetversion USING btree (sheet_id);
CREATE INDEX readings_speccard_changed_by_id_d646f51a ON public.readings_speccard USING btree (changed_by_id);
CREATE INDEX readings_speccard_family_id_b174e812 ON public.readings_speccard USING btree (family_id);
CREATE INDEX readings_speclimit_begun_by_id_9a58b147 ON public.readings_speclimit USING btree (begun_by_id);
CREATE INDEX readings_speclimit_card_id_34e2d4dc ON public.readings_speclimit USING btree (card_id);
CREATE INDEX readings_speclimit_ended_by_id_2df1c581 ON public.readings_speclimit USING btree (ended_by_id);
CREATE INDEX readings_speclimit_parameter_id_dd7844c3 ON public.readings_speclimit USING btree (parameter_id);
CREATE INDEX reminder_letters_newest ON public.upkeep_reminderletter USING btree (written_at DESC);
CREATE INDEX reminders_of_vessel ON public.upkeep_reminder USING btree (vessel_id, at DESC);
CREATE INDEX repairs_newest_first ON public.faults_episode USING btree (closed_at DESC) WHERE is_repair;
CREATE INDEX reports_issuedreport_job_id_22c17ca4 ON public.reports_issuedreport USING btree (job_id);
CREATE INDEX reports_issuedreport_number_a31ecf1c_like ON public.reports_issuedreport USING btree (number varchar_pattern_ops);
CREATE INDEX reports_issuedreport_pdf_sha256_061687c1_like ON public.reports_issuedreport USING btree (pdf_sha256 varchar_pattern_ops);
CREATE INDEX reports_issuedreport_signature_sha256_f6412f51 ON public.reports_issuedreport USING btree (signature_sha256);
CREATE INDEX reports_issuedreport_signature_sha256_f6412f51_like ON public.reports_issuedreport USING btree (signature_sha256 varchar_pattern_ops);
CREATE INDEX reports_issuedreport_signer_id_9b3179cc ON public.reports_issuedreport USING btree (signer_id);
CREATE INDEX reports_reportdraft_changed_by_id_f33c65ae ON public.reports_reportdraft USING btree (changed_by_id);
CREATE INDEX reports_reportdraft_job_id_be907a4b ON public.reports_reportdraft USING btree (job_id);
CREATE INDEX reports_reportdraft_reviewed_by_id_dc140664 ON public.reports_reportdraft USING btree (reviewed_by_id);
CREATE INDEX reports_reportdraft_signer_id_0c424573 ON public.reports_reportdraft USING btree (signer_id);
CREATE INDEX reports_reportdraft_started_by_id_f534231c ON public.reports_reportdraft USING btree (started_by_id);
CREATE INDEX reports_reportdraft_supersedes_id_a5b0951e ON public.reports_reportdraft USING btree (supersedes_id);
CREATE INDEX returns_newest_first ON public.faults_episode USING btree (opened_at DESC) WHERE (number > 1);
CREATE INDEX scans_by_instrument ON public.faults_scan USING btree (registered_id) WHERE (registered_id IS NOT NULL);
CREATE INDEX scans_from_a_file ON public.faults_scan USING btree (file_sha256) WHERE (file_sha256 IS NOT NULL);
CREATE INDEX staff_accountevent_by_id_6976fba3 ON public.staff_accountevent USING btree (by_id);
CREATE INDEX staff_accountevent_person_id_e8554523 ON public.staff_accountevent USING btree (person_id);
CREATE INDEX staff_counter_key_53116a3e_like ON public.staff_counter USING btree (key varchar_pattern_ops);
CREATE INDEX staff_counter_until_60d83d6f ON public.staff_counter USING btree (until);
CREATE INDEX staff_knownaddress_person_id_b37c8272 ON public.staff_knownaddress USING btree (person_id);
CREATE INDEX staff_person_changed_by_id_3070439f ON public.staff_person USING btree (changed_by_id);
CREATE INDEX staff_person_username_4b14d039_like ON public.staff_person USING btree (username varchar_pattern_ops);
CREATE INDEX staff_session_expire_date_79c4f472 ON public.staff_session USING btree (expire_date);
CREATE INDEX staff_session_number_c60152a6 ON public.staff_session USING btree (number);
CREATE INDEX staff_session_person_id_ab06f5ba ON public.staff_session USING btree (person_id);
CREATE INDEX staff_session_session_key_f4c8c19c_like ON public.staff_session USING btree (session_key varchar_pattern_ops);
CREATE INDEX staff_shopprofile_changed_by_id_ba1eb8dd ON public.staff_shopprofile USING btree (changed_by_id);
CREATE INDEX still_awaited_of_job ON public.jobparts_awaitedpart USING btree (job_id) WHERE ((arrived_at IS NULL) AND (canceled_at IS NULL));
CREATE INDEX taxes_salestax_name_5e7f37f5_like ON public.taxes_salestax USING btree (name varchar_pattern_ops);
CREATE INDEX taxes_taxexemption_added_by_id_489f46d6 ON public.taxes_taxexemption USING btree (added_by_id);
CREATE INDEX taxes_taxexemption_customer_id_ffbf8fd0 ON public.taxes_taxexemption USING btree (customer_id);
CREATE INDEX taxes_taxexemption_ended_by_id_8839b588 ON public.taxes_taxexemption USING btree (ended_by_id);
CREATE INDEX taxes_taxexemption_tax_id_8cfcce8d ON public.taxes_taxexemption USING btree (tax_id);
CREATE INDEX taxes_taxrate_added_by_id_50274fdb ON public.taxes_taxrate USING btree (added_by_id);
CREATE INDEX taxes_taxrate_on_tax_id_6e7d2c49 ON public.taxes_taxrate USING btree (on_tax_id);
CREATE INDEX taxes_taxrate_tax_id_fac462f5 ON public.taxes_taxrate USING btree (tax_id);
CREATE INDEX time_and_materials_of_jobs ON public.authorizations_authorization USING btree (job_id) WHERE is_open;
CREATE UNIQUE INDEX unique_authenticator_type ON public.mfa_authenticator USING btree (user_id, type) WHERE (type IN ('totp', 'recovery_codes'));
CREATE UNIQUE INDEX unique_primary_email ON public.account_emailaddress USING btree (user_id, "primary") WHERE "primary";
CREATE UNIQUE INDEX unique_verified_email ON public.account_emailaddress USING btree (email) WHERE verified;
CREATE INDEX upkeep_adoption_added_by_id_f2780b23 ON public.upkeep_adoption USING btree (added_by_id);
CREATE INDEX upkeep_adoption_changed_by_id_3aa2c0c0 ON public.upkeep_adoption USING btree (changed_by_id);
CREATE INDEX upkeep_adoption_ended_by_id_bc81bf55 ON public.upkeep_adoption USING btree (ended_by_id);
CREATE INDEX upkeep_adoption_engine_id_eab9a607 ON public.upkeep_adoption USING btree (engine_id);
CREATE INDEX upkeep_adoption_plan_id_8e509fe3 ON public.upkeep_adoption USING btree (plan_id);
CREATE INDEX upkeep_judgment_vessel_id_94c223f3 ON public.upkeep_judgment USING btree (vessel_id);
CREATE INDEX upkeep_layup_added_by_id_f6baeeb1 ON public.upkeep_layup USING btree (added_by_id);
CREATE INDEX upkeep_layup_changed_by_id_413c75e8 ON public.upkeep_layup USING btree (changed_by_id);
CREATE INDEX upkeep_layup_struck_by_id_8af1f32c ON public.upkeep_layup USING btree (struck_by_id);
CREATE INDEX upkeep_layup_vessel_id_719e5d01 ON public.upkeep_layup USING btree (vessel_id);
CREATE INDEX upkeep_plannedline_adoption_id_3889e295 ON public.upkeep_plannedline USING btree (adoption_id);
CREATE INDEX upkeep_planversion_by_id_cce8d7a6 ON public.upkeep_planversion USING btree (by_id);
CREATE INDEX upkeep_planversion_plan_id_533c42dd ON public.upkeep_planversion USING btree (plan_id);
CREATE INDEX upkeep_reminder_by_id_3d3a3758 ON public.upkeep_reminder USING btree (by_id);
CREATE INDEX upkeep_reminder_customer_id_78ce9346 ON public.upkeep_reminder USING btree (customer_id);
CREATE INDEX upkeep_reminder_letter_id_f18f11a2 ON public.upkeep_reminder USING btree (letter_id);
CREATE INDEX upkeep_reminder_vessel_id_53937545 ON public.upkeep_reminder USING btree (vessel_id);
CREATE INDEX upkeep_reminderletter_customer_id_578cdcc0 ON public.upkeep_reminderletter USING btree (customer_id);
CREATE INDEX upkeep_reminderletter_discarded_by_id_792323f9 ON public.upkeep_reminderletter USING btree (discarded_by_id);
CREATE INDEX upkeep_reminderletter_sent_by_id_926b60a4 ON public.upkeep_reminderletter USING btree (sent_by_id);
CREATE INDEX upkeep_reminderletter_written_by_id_672a67f6 ON public.upkeep_reminderletter USING btree (written_by_id);
CREATE INDEX upkeep_reminderwish_by_id_7b792f9f ON public.upkeep_reminderwish USING btree (by_id);
CREATE INDEX upkeep_reminderwish_customer_id_72af3c23 ON public.upkeep_reminderwish USING btree (customer_id);
CREATE INDEX upkeep_servicedone_line_id_e0569dbd ON public.upkeep_servicedone USING btree (line_id);
CREATE INDEX upkeep_servicedone_read_in_id_96b426c6 ON public.upkeep_servicedone USING btree (read_in_id);
CREATE INDEX upkeep_serviceof_done_id_3ff5ff9c ON public.upkeep_serviceof USING btree (done_id);
CREATE INDEX upkeep_serviceof_plan_version_id_70487bbc ON public.upkeep_serviceof USING btree (plan_version_id);
CREATE INDEX upkeep_serviceplan_added_by_id_cd9fafba ON public.upkeep_serviceplan USING btree (added_by_id);
CREATE INDEX upkeep_serviceplan_changed_by_id_954621bc ON public.upkeep_serviceplan USING btree (changed_by_id);
CREATE INDEX upkeep_serviceplan_ended_by_id_2ed9aea4 ON public.upkeep_serviceplan USING btree (ended_by_id);
CREATE INDEX upkeep_serviceplan_family_id_8380aa4c ON public.upkeep_serviceplan USING btree (family_id);
CREATE INDEX upkeep_serviceplan_kit_id_e70f96e0 ON public.upkeep_serviceplan USING btree (kit_id);
CREATE INDEX use_by_day ON public.invoices_use USING btree (day);
CREATE INDEX vessel_berth ON public.vessels_vessel USING btree (upper(replace(replace((berth)::text, '-'::text, ''::text), ' '::text, ''::text)) text_pattern_ops);
CREATE INDEX vessel_hin_body ON public.vessels_vessel USING btree ("right"((hin)::text, 12) text_pattern_ops);
CREATE INDEX vessel_hin_inside ON public.vessels_vessel USING gin (array_to_tsvector(array_remove(ARRAY["right"((hin)::text, 11), "right"((hin)::text, 10), "right"((hin)::text, 9), "right"((hin)::text, 8), "right"((hin)::text, 7), "right"((hin)::text, 6), "right"((hin)::text, 5), "right"((hin)::text, 4)], ''::text))) WITH (fastupdate=off);
CREATE INDEX vessel_hin_start ON public.vessels_vessel USING btree (hin varchar_pattern_ops);
CREATE INDEX vessel_name ON public.vessels_vessel USING btree (lower((name)::text), id);
CREATE INDEX vessel_registration ON public.vessels_vessel USING btree (upper(replace(replace((registration)::text, '-'::text, ''::text), ' '::text, ''::text)) text_pattern_ops);
CREATE INDEX vessel_spelling ON public.vessels_vesselspelling USING gin (keys) WITH (fastupdate=off);
CREATE INDEX vessel_words ON public.vessels_vessel USING gin (to_tsvector('simple'::regconfig, (((((COALESCE(name, ''::character varying))::text || ' '::text) || (COALESCE(maker, ''::character varying))::text) || ' '::text) || (COALESCE(model, ''::character varying))::text)));
CREATE INDEX vessels_controlunit_changed_by_id_7402e4e5 ON public.vessels_controlunit USING btree (changed_by_id);
CREATE INDEX vessels_controlunit_engine_id_27c2b9c2 ON public.vessels_controlunit USING btree (engine_id);
CREATE INDEX vessels_controlunit_vessel_id_5773ff21 ON public.vessels_controlunit USING btree (vessel_id);
CREATE INDEX vessels_customer_changed_by_id_a373e8f4 ON public.vessels_customer USING btree (changed_by_id);
CREATE INDEX vessels_customeremail_customer_id_ee29e2d3 ON public.vessels_customeremail USING btree (customer_id);
CREATE INDEX vessels_customerphone_customer_id_62043ba0 ON public.vessels_customerphone USING btree (customer_id);
CREATE INDEX vessels_engine_changed_by_id_707f4e5e ON public.vessels_engine USING btree (changed_by_id);
CREATE INDEX vessels_engine_family_id_fbb3d8b1 ON public.vessels_engine USING btree (family_id);
CREATE INDEX vessels_engine_vessel_id_89f3c4ea ON public.vessels_engine USING btree (vessel_id);
CREATE INDEX vessels_hourmeter_engine_id_085506eb ON public.vessels_hourmeter USING btree (engine_id);
CREATE INDEX vessels_hourreading_meter_id_670fd55d ON public.vessels_hourreading USING btree (meter_id);
CREATE INDEX vessels_loganchor_head_bb8f6abd_like ON public.vessels_loganchor USING btree (head varchar_pattern_ops);
CREATE INDEX vessels_logentry_amends_id_214325ab ON public.vessels_logentry USING btree (amends_id);
CREATE INDEX vessels_meterreplacement_new_meter_id_6216fd26 ON public.vessels_meterreplacement USING btree (new_meter_id);
CREATE INDEX vessels_meterreplacement_old_meter_id_8eee3d53 ON public.vessels_meterreplacement USING btree (old_meter_id);
CREATE INDEX vessels_ownerchange_new_owner_id_b5f4bd25 ON public.vessels_ownerchange USING btree (new_owner_id);
CREATE INDEX vessels_ownerchange_old_owner_id_5864bd21 ON public.vessels_ownerchange USING btree (old_owner_id);
CREATE INDEX vessels_ownership_customer_id_f6bb8bf8 ON public.vessels_ownership USING btree (customer_id);
CREATE INDEX vessels_ownership_vessel_id_d6aaffe8 ON public.vessels_ownership USING btree (vessel_id);
CREATE INDEX vessels_unitfitting_unit_id_9c1d5341 ON public.vessels_unitfitting USING btree (unit_id);
CREATE INDEX vessels_unitidentification_unit_id_9b3fc030 ON public.vessels_unitidentification USING btree (unit_id);
CREATE INDEX vessels_vessel_changed_by_id_bbbe8557 ON public.vessels_vessel USING btree (changed_by_id);
CREATE INDEX vessels_vessel_owner_id_c0857005 ON public.vessels_vessel USING btree (owner_id);
CREATE INDEX workorders_charge_added_by_id_69f1d6c6 ON public.workorders_charge USING btree (added_by_id);
CREATE INDEX workorders_charge_again_of_id_2be055f1 ON public.workorders_charge USING btree (again_of_id);
CREATE INDEX workorders_charge_core_of_id_16e75a90 ON public.workorders_charge USING btree (core_of_id);
CREATE INDEX workorders_charge_job_id_bf6f5268 ON public.workorders_charge USING btree (job_id);
CREATE INDEX workorders_charge_line_id_c0c6a000 ON public.workorders_charge USING btree (line_id);
CREATE INDEX workorders_charge_part_id_c7748239 ON public.workorders_charge USING btree (part_id);
CREATE INDEX workorders_charge_struck_by_id_f05451c1 ON public.workorders_charge USING btree (struck_by_id);
CREATE INDEX workorders_job_changed_by_id_d74aae34 ON public.workorders_job USING btree (changed_by_id);
CREATE INDEX workorders_job_customer_id_eac87e72 ON public.workorders_job USING btree (customer_id);
CREATE INDEX workorders_job_opened_by_id_8a46e88e ON public.workorders_job USING btree (opened_by_id);
CREATE INDEX workorders_job_technician_id_373a8cac ON public.workorders_job USING btree (technician_id);
CREATE INDEX workorders_job_vessel_id_ec0dd865 ON public.workorders_job USING btree (vessel_id);
CREATE INDEX workorders_jobchange_line_id_e4c216b8 ON public.workorders_jobchange USING btree (line_id);
CREATE INDEX workorders_jobline_changed_by_id_c938ad89 ON public.workorders_jobline USING btree (changed_by_id);
CREATE INDEX workorders_jobline_done_by_jobline_id_9d84f67f ON public.workorders_jobline_done_by USING btree (jobline_id);
CREATE INDEX workorders_jobline_done_by_person_id_045a1f78 ON public.workorders_jobline_done_by USING btree (person_id);
CREATE INDEX workorders_jobline_engine_id_6e837bb3 ON public.workorders_jobline USING btree (engine_id);
CREATE INDEX workorders_jobline_job_id_79efd0e5 ON public.workorders_jobline USING btree (job_id);
CREATE INDEX workorders_moveintime_job_id_5d00c696 ON public.workorders_moveintime USING btree (job_id);
CREATE INDEX workorders_sold_charge_id_53bfb90e ON public.workorders_sold USING btree (charge_id);
CREATE INDEX workorders_sold_root_id_a83e0c8d ON public.workorders_sold USING btree (root_id);
CREATE INDEX workorders_sold_stretch_id_06c9e8b6 ON public.workorders_sold USING btree (stretch_id);
CREATE INDEX workorders_stretch_by_id_96b5eaa8 ON public.workorders_stretch USING btree (by_id);
CREATE INDEX workorders_stretch_line_id_44677e7b ON public.workorders_stretch USING btree (line_id);
CREATE INDEX workorders_stretch_person_id_322bf681 ON public.workorders_stretch USING btree (person_id);
CREATE INDEX workorders_stretch_root_id_d3e736e2 ON public.workorders_stretch USING btree (root_id);
CREATE INDEX workorders_stretchend_by_id_b93c384f ON public.workorders_stretchend USING btree (by_id);
CREATE INDEX workorders_stretchend_stretch_id_39989cbc ON public.workorders_stretchend USING btree (stretch_id);
CREATE INDEX workorders_stretchvoid_by_id_6e095e77 ON public.workorders_stretchvoid USING btree (by_id);
CREATE TRIGGER garboard_move_in_time AFTER INSERT ON public.vessels_logentry FOR EACH ROW EXECUTE FUNCTION public.garboard_move_in_time();
CREATE TRIGGER garboard_service_stale AFTER INSERT OR UPDATE ON public.staff_shopprofile FOR EACH ROW EXECUTE FUNCTION public.garboard_service_stale('all', 'id', 'time_zone');
CREATE TRIGGER garboard_service_stale AFTER INSERT OR DELETE OR UPDATE ON public.upkeep_adoption FOR EACH ROW EXECUTE FUNCTION public.garboard_service_stale('adoption', 'id');
CREATE TRIGGER garboard_service_stale AFTER INSERT OR DELETE OR UPDATE ON public.upkeep_layup FOR EACH ROW EXECUTE FUNCTION public.garboard_service_stale('vessel', 'vessel_id');
CREATE TRIGGER garboard_service_stale AFTER UPDATE ON public.upkeep_serviceplan FOR EACH ROW EXECUTE FUNCTION public.garboard_service_stale('plan', 'id');
CREATE TRIGGER garboard_service_stale AFTER UPDATE ON public.vessels_customer FOR EACH ROW EXECUTE FUNCTION public.garboard_service_stale('owner', 'id', 'name');
CREATE TRIGGER garboard_service_stale AFTER UPDATE ON public.vessels_engine FOR EACH ROW EXECUTE FUNCTION public.garboard_service_stale('engine', 'id', 'family_id', 'removed_on', 'vessel_id', 'position', 'maker', 'model');
CREATE TRIGGER garboard_service_stale AFTER INSERT OR DELETE OR UPDATE ON public.vessels_hourmeter FOR EACH ROW EXECUTE FUNCTION public.garboard_service_stale('engine', 'engine_id');
CREATE TRIGGER garboard_service_stale AFTER INSERT ON public.vessels_logentry FOR EACH ROW EXECUTE FUNCTION public.garboard_service_stale_by_entry();
CREATE TRIGGER garboard_service_stale AFTER UPDATE ON public.vessels_vessel FOR EACH ROW EXECUTE FUNCTION public.garboard_service_stale('vessel', 'id', 'name', 'maker', 'model', 'berth', 'owner_id');
CREATE TRIGGER pgtrigger_account_event_stays_9fb6e BEFORE DELETE OR UPDATE ON public.staff_accountevent FOR EACH ROW EXECUTE FUNCTION public.pgtrigger_account_event_stays_9fb6e();
COMMENT ON TRIGGER pgtrigger_account_event_stays_9fb6e ON public.staff_accountevent IS '3e6596220ccfd59fe98cd2f4474db6ba94714fe5';
CREATE TRIGGER pgtrigger_keeps_open_1e172 AFTER INSERT ON public.invoices_use FOR EACH ROW EXECUTE FUNCTION public.garboard_invoice_stands();
COMMENT ON TRIGGER pgtrigger_keeps_open_1e172 ON public.invoices_use IS 'ef6f257891f6498e141e10d3753ddb26e4acaef3';
CREATE TRIGGER pgtrigger_keeps_open_4fd61 AFTER INSERT ON public.invoices_creditnote FOR EACH ROW EXECUTE FUNCTION public.garboard_invoice_stands();
COMMENT ON TRIGGER pgtrigger_keeps_open_4fd61 ON public.invoices_creditnote IS '7f6ae7aea1548fdb5b76b920d7ef3636a645113f';
CREATE TRIGGER pgtrigger_keeps_open_653c3 AFTER INSERT ON public.invoices_invoice FOR EACH ROW EXECUTE FUNCTION public.garboard_invoice_stands();
COMMENT ON TRIGGER pgtrigger_keeps_open_653c3 ON public.invoices_invoice IS 'e7d385270f6e5dab7e959a6bfec20f2b1b4078ea';
CREATE TRIGGER pgtrigger_keeps_open_d8eae AFTER INSERT ON public.invoices_writeoff FOR EACH ROW EXECUTE FUNCTION public.garboard_invoice_stands();
COMMENT ON TRIGGER pgtrigger_keeps_open_d8eae ON public.invoices_writeoff IS '6054519b54c250b10119ed64c67aa47237cb4236';
CREATE TRIGGER pgtrigger_keeps_rest_60ee3 AFTER INSERT ON public.invoices_use FOR EACH ROW EXECUTE FUNCTION public.garboard_payment_rests();
COMMENT ON TRIGGER pgtrigger_keeps_rest_60ee3 ON public.invoices_use IS '6100d4006b6eeb23ba864e51192c8bfe1e3d071b';
CREATE TRIGGER pgtrigger_keeps_rest_a37b1 AFTER INSERT ON public.invoices_payment FOR EACH ROW EXECUTE FUNCTION public.garboard_payment_rests();
COMMENT ON TRIGGER pgtrigger_keeps_rest_a37b1 ON public.invoices_payment IS '26c4cbbadbca8deeb4545465b5983dbcef250730';
CREATE TRIGGER pgtrigger_no_change_0207c BEFORE DELETE OR UPDATE ON public.faults_workonfault FOR EACH ROW EXECUTE FUNCTION public.garboard_append_only();
COMMENT ON TRIGGER pgtrigger_no_change_0207c ON public.faults_workonfault IS 'c1deac6211bbe0d0faae5815f022351d2e69783b';
CREATE TRIGGER pgtrigger_no_change_02cef BEFORE DELETE OR UPDATE ON public.workorders_jobchange FOR EACH ROW EXECUTE FUNCTION public.garboard_append_only();
COMMENT ON TRIGGER pgtrigger_no_change_02cef ON public.workorders_jobchange IS '5adb8a6f688f64708a151475049d359a050f3203';
CREATE TRIGGER pgtrigger_no_change_040a9 BEFORE DELETE OR UPDATE ON public.happenings_visualfinding FOR EACH ROW EXECUTE FUNCTION public.garboard_append_only();
COMMENT ON TRIGGER pgtrigger_no_change_040a9 ON public.happenings_visualfinding IS 'b28f960cc5c0793b27571406bcfea3548a656844';
CREATE TRIGGER pgtrigger_no_change_048ec BEFORE UPDATE ON public.readings_speclimit FOR EACH ROW WHEN (((old.begun_at IS DISTINCT FROM new.begun_at) OR (old.begun_by_id IS DISTINCT FROM new.begun_by_id) OR (old.card_id IS DISTINCT FROM new.card_id) OR ((old.condition)::text IS DISTINCT FROM (new.condition)::text) OR (old.high IS DISTINCT FROM new.high) OR (old.id IS DISTINCT FROM new.id) OR (old.low IS DISTINCT FROM new.low) OR (old.near_percent IS DISTINCT FROM new.near_percent) OR (old.nominal IS DISTINCT FROM new.nominal) OR ((old.page)::text IS DISTINCT FROM (new.page)::text) OR (old.parameter_id IS DISTINCT FROM new.parameter_id) OR (old.replaces_id IS DISTINCT FROM new.replaces_id) OR ((old.source)::text IS DISTINCT FROM (new.source)::text) OR ((old.unit)::text IS DISTINCT FROM (new.unit)::text))) EXECUTE FUNCTION public.garboard_append_only();
COMMENT ON TRIGGER pgtrigger_no_change_048ec ON public.readings_speclimit IS '68329dedc8a38b4febddd43f32c75eb522eaec42';
CREATE TRIGGER pgtrigger_no_change_0734b BEFORE DELETE OR UPDATE ON public.faults_clear FOR EACH ROW EXECUTE FUNCTION public.garboard_append_only();
COMMENT ON TRIGGER pgtrigger_no_change_0734b ON public.faults_clear IS 'a0b03fb644cbbbbcb17a69d7e66cc2a5f411e510';
CREATE TRIGGER pgtrigger_no_change_094a7 BEFORE DELETE OR UPDATE ON public.happenings_endedchange FOR EACH ROW EXECUTE FUNCTION public.garboard_append_only();
COMMENT ON TRIGGER pgtrigger_no_change_094a7 ON public.happenings_endedchange IS 'ca0f527d25792d7624e9fa1fba22b97afffbbfa0';
CREATE TRIGGER pgtrigger_no_change_0f1d2 BEFORE DELETE OR UPDATE ON public.invoices_creditedcharge FOR EACH ROW EXECUTE FUNCTION public.garboard_append_only();
COMMENT ON TRIGGER pgtrigger_no_change_0f1d2 ON public.invoices_creditedcharge IS 'c1c5536dda1eb0894fd68278779ba260626b03c5';
CREATE TRIGGER pgtrigger_no_change_266a7 BEFORE DELETE OR UPDATE ON public.jobparts_partfitted FOR EACH ROW EXECUTE FUNCTION public.garboard_append_only();
COMMENT ON TRIGGER pgtrigger_no_change_266a7 ON public.jobparts_partfitted IS 'a4e6c8bb9aa3ec1a07f78d84517a7a52298df0a1';
CREATE TRIGGER pgtrigger_no_change_3771e BEFORE DELETE OR UPDATE ON public.invoices_use FOR EACH ROW EXECUTE FUNCTION public.garboard_append_only();
COMMENT ON TRIGGER pgtrigger_no_change_3771e ON public.invoices_use IS 'bddb8d312f6090c973af40b1cb17a738dda8f4f5';
CREATE TRIGGER pgtrigger_no_change_383ee BEFORE DELETE OR UPDATE ON public.invoices_loosewriteoff FOR EACH ROW EXECUTE FUNCTION public.garboard_append_only();
COMMENT ON TRIGGER pgtrigger_no_change_383ee ON public.invoices_loosewriteoff IS '7632c7c79d26ce6a810e4fa3e7235d74baa65b4f';
CREATE TRIGGER pgtrigger_no_change_388e5 BEFORE DELETE OR UPDATE ON public.invoices_creditnote FOR EACH ROW EXECUTE FUNCTION public.garboard_append_only();
COMMENT ON TRIGGER pgtrigger_no_change_388e5 ON public.invoices_creditnote IS 'dc97487672fa49a50777e7f4a2e5045fced5ad1e';
CREATE TRIGGER pgtrigger_no_change_47ad9 BEFORE DELETE OR UPDATE ON public.upkeep_planversion FOR EACH ROW EXECUTE FUNCTION public.garboard_append_only();
COMMENT ON TRIGGER pgtrigger_no_change_47ad9 ON public.upkeep_planversion IS 'd0de5327f26d9c6404a6663bfa5b8be2fd9664e3';
CREATE TRIGGER pgtrigger_no_change_4869c BEFORE DELETE OR UPDATE ON public.vessels_meterreplacement FOR EACH ROW EXECUTE FUNCTION public.garboard_append_only();
COMMENT ON TRIGGER pgtrigger_no_change_4869c ON public.vessels_meterreplacement IS 'd0b222fc729b5f2bfce142e29f736d5844a7ec37';
CREATE TRIGGER pgtrigger_no_change_4aaa2 BEFORE DELETE OR UPDATE ON public.calls_call FOR EACH ROW EXECUTE FUNCTION public.garboard_append_only();
COMMENT ON TRIGGER pgtrigger_no_change_4aaa2 ON public.calls_call IS 'd8aa08497155ade4bf158b802c39bad3ab648325';
CREATE TRIGGER pgtrigger_no_change_50878 BEFORE DELETE OR UPDATE ON public.invoices_drawnpaper FOR EACH ROW EXECUTE FUNCTION public.garboard_append_only();
COMMENT ON TRIGGER pgtrigger_no_change_50878 ON public.invoices_drawnpaper IS '839bf7e8d1247486777ad975b66e2eb9aa56a9c0';
CREATE TRIGGER pgtrigger_no_change_5698c BEFORE DELETE OR UPDATE ON public.workorders_stretchend FOR EACH ROW EXECUTE FUNCTION public.garboard_append_only();
COMMENT ON TRIGGER pgtrigger_no_change_5698c ON public.workorders_stretchend IS '3824c17d5837aa47a5688e90467779a97b08ca39';
CREATE TRIGGER pgtrigger_no_change_58313 BEFORE DELETE OR UPDATE ON public.vessels_ownerchange FOR EACH ROW EXECUTE FUNCTION public.garboard_append_only();
COMMENT ON TRIGGER pgtrigger_no_change_58313 ON public.vessels_ownerchange IS '7abe2e203311bd7262500f0dd319399099a74885';
CREATE TRIGGER pgtrigger_no_change_58714 BEFORE DELETE OR UPDATE ON public.vessels_unitfitting FOR EACH ROW EXECUTE FUNCTION public.garboard_append_only();
COMMENT ON TRIGGER pgtrigger_no_change_58714 ON public.vessels_unitfitting IS 'bf1adc7cce7b920a3a2aff81cd20553a1d0a848d';
CREATE TRIGGER pgtrigger_no_change_589a1 BEFORE DELETE OR UPDATE ON public.faults_clearedfault FOR EACH ROW EXECUTE FUNCTION public.garboard_append_only();
COMMENT ON TRIGGER pgtrigger_no_change_589a1 ON public.faults_clearedfault IS '6109be20ef726cbcf54439e9f2e79cefe07f57b1';
CREATE TRIGGER pgtrigger_no_change_5a143 BEFORE DELETE OR UPDATE ON public.invoices_payment FOR EACH ROW EXECUTE FUNCTION public.garboard_append_only();
COMMENT ON TRIGGER pgtrigger_no_change_5a143 ON public.invoices_payment IS '531706ae28c30ab0717bb1f0d35dcb7636279c3b';
CREATE TRIGGER pgtrigger_no_change_5e5f6 BEFORE DELETE OR UPDATE ON public.faults_scan FOR EACH ROW EXECUTE FUNCTION public.garboard_append_only();
COMMENT ON TRIGGER pgtrigger_no_change_5e5f6 ON public.faults_scan IS 'ec1309a8b62955fa12753aee281af1d6e752ed15';
CREATE TRIGGER pgtrigger_no_change_5f36e BEFORE DELETE OR UPDATE ON public.invoices_invoice FOR EACH ROW EXECUTE FUNCTION public.garboard_append_only();
COMMENT ON TRIGGER pgtrigger_no_change_5f36e ON public.invoices_invoice IS '0b7f967a5fbb1aa90585759ed2e8843507cce014';
CREATE TRIGGER pgtrigger_no_change_6d775 BEFORE DELETE OR UPDATE ON public.readings_sheetrow FOR EACH ROW EXECUTE FUNCTION public.garboard_append_only();
COMMENT ON TRIGGER pgtrigger_no_change_6d775 ON public.readings_sheetrow IS '37695e5bccf016d6a4f38390967f922eb509178a';
CREATE TRIGGER pgtrigger_no_change_719ff BEFORE DELETE OR UPDATE ON public.faults_sighting FOR EACH ROW EXECUTE FUNCTION public.garboard_append_only();
COMMENT ON TRIGGER pgtrigger_no_change_719ff ON public.faults_sighting IS '5496e5ccc51d787e0aebf0c985879f65767614d4';
CREATE TRIGGER pgtrigger_no_change_74d8b BEFORE DELETE OR UPDATE ON public.invoices_invoicedcharge FOR EACH ROW EXECUTE FUNCTION public.garboard_append_only();
COMMENT ON TRIGGER pgtrigger_no_change_74d8b ON public.invoices_invoicedcharge IS 'eebd0e8a82d4bd1c03e35631b7d0d633d0371f1d';
CREATE TRIGGER pgtrigger_no_change_757ad BEFORE DELETE OR UPDATE ON public.vessels_unitidentification FOR EACH ROW EXECUTE FUNCTION public.garboard_append_only();
COMMENT ON TRIGGER pgtrigger_no_change_757ad ON public.vessels_unitidentification IS 'ad5a492e2778d9e5d2fd2ed75208afc3fd315ff8';
CREATE TRIGGER pgtrigger_no_change_76bf9 BEFORE DELETE OR UPDATE ON public.reports_issuedreport FOR EACH ROW EXECUTE FUNCTION public.garboard_append_only();
COMMENT ON TRIGGER pgtrigger_no_change_76bf9 ON public.reports_issuedreport IS '006bed2528550c5d5c2e8360f8a51fd2818e2128';
CREATE TRIGGER pgtrigger_no_change_7903d BEFORE DELETE OR UPDATE ON public.commands_command FOR EACH ROW EXECUTE FUNCTION public.garboard_append_only();
COMMENT ON TRIGGER pgtrigger_no_change_7903d ON public.commands_command IS '04798bbaf54ed948f412b46e3c4231769599a674';
CREATE TRIGGER pgtrigger_no_change_7f2da BEFORE DELETE OR UPDATE ON public.upkeep_serviceof FOR EACH ROW EXECUTE FUNCTION public.garboard_append_only();
COMMENT ON TRIGGER pgtrigger_no_change_7f2da ON public.upkeep_serviceof IS 'b4435dcf8e3a792a83d3b9dfc1e6fb9f08763fed';
CREATE TRIGGER pgtrigger_no_change_85af1 BEFORE DELETE OR UPDATE ON public.faults_workdone FOR EACH ROW EXECUTE FUNCTION public.garboard_append_only();
COMMENT ON TRIGGER pgtrigger_no_change_85af1 ON public.faults_workdone IS '488d3dcc92580084ebc3c080e62f66d526367c9a';
CREATE TRIGGER pgtrigger_no_change_872ab BEFORE DELETE OR UPDATE ON public.authorizations_letgo FOR EACH ROW EXECUTE FUNCTION public.garboard_append_only();
COMMENT ON TRIGGER pgtrigger_no_change_872ab ON public.authorizations_letgo IS 'e792082704c3c2c88ae360609a4b0a8b04a75e28';
CREATE TRIGGER pgtrigger_no_change_880a2 BEFORE DELETE OR UPDATE ON public.readings_sheetversion FOR EACH ROW EXECUTE FUNCTION public.garboard_append_only();
COMMENT ON TRIGGER pgtrigger_no_change_880a2 ON public.readings_sheetversion IS '4e1156b6bf02de62fb90ae0d3c747c8abdbfd3c4';
CREATE TRIGGER pgtrigger_no_change_8cfaf BEFORE DELETE OR UPDATE ON public.vessels_detailschange FOR EACH ROW EXECUTE FUNCTION public.garboard_append_only();
COMMENT ON TRIGGER pgtrigger_no_change_8cfaf ON public.vessels_detailschange IS '7aba39eb062230c97ae0374785e3ff54adc4eeca';
CREATE TRIGGER pgtrigger_no_change_93cd9 BEFORE DELETE OR UPDATE ON public.readings_reading FOR EACH ROW EXECUTE FUNCTION public.garboard_append_only();
COMMENT ON TRIGGER pgtrigger_no_change_93cd9 ON public.readings_reading IS '9d17c24dd2d2cae44ee28842cd30c49be56592c9';
CREATE TRIGGER pgtrigger_no_change_96fd8 BEFORE DELETE OR UPDATE ON public.upkeep_reminderwish FOR EACH ROW EXECUTE FUNCTION public.garboard_append_only();
COMMENT ON TRIGGER pgtrigger_no_change_96fd8 ON public.upkeep_reminderwish IS '14278c39242e6aff5951d5abbeba4af58bd48694';
CREATE TRIGGER pgtrigger_no_change_b577d BEFORE DELETE OR UPDATE ON public.reports_reportwithdrawal FOR EACH ROW EXECUTE FUNCTION public.garboard_append_only();
COMMENT ON TRIGGER pgtrigger_no_change_b577d ON public.reports_reportwithdrawal IS '5d8d63bf712e24bd72d70e28cb183c4ba924cb11';
CREATE TRIGGER pgtrigger_no_change_be580 BEFORE DELETE OR UPDATE ON public.readings_cardwords FOR EACH ROW EXECUTE FUNCTION public.garboard_append_only();
COMMENT ON TRIGGER pgtrigger_no_change_be580 ON public.readings_cardwords IS 'a2986a2f030e4ff7c2ab87a6a2a19cbf498a8515';
CREATE TRIGGER pgtrigger_no_change_c30a6 BEFORE DELETE OR UPDATE ON public.happenings_settingchange FOR EACH ROW EXECUTE FUNCTION public.garboard_append_only();
COMMENT ON TRIGGER pgtrigger_no_change_c30a6 ON public.happenings_settingchange IS '4cc4b015aa449aabef09bf7415c1b791f8dc73c7';
CREATE TRIGGER pgtrigger_no_change_c70e7 BEFORE DELETE OR UPDATE ON public.authorizations_authorizationpaper FOR EACH ROW EXECUTE FUNCTION public.garboard_append_only();
COMMENT ON TRIGGER pgtrigger_no_change_c70e7 ON public.authorizations_authorizationpaper IS 'adf7a21a7005df88478672329aae9f3308cad954';
CREATE TRIGGER pgtrigger_no_change_d1d39 BEFORE DELETE OR UPDATE ON public.workorders_jobmove FOR EACH ROW EXECUTE FUNCTION public.garboard_append_only();
COMMENT ON TRIGGER pgtrigger_no_change_d1d39 ON public.workorders_jobmove IS 'a1c22ee1f5902edcbf38fc2a46fd2d2c6d8235e0';
CREATE TRIGGER pgtrigger_no_change_d7af9 BEFORE DELETE OR UPDATE ON public.upkeep_reminder FOR EACH ROW EXECUTE FUNCTION public.garboard_append_only();
COMMENT ON TRIGGER pgtrigger_no_change_d7af9 ON public.upkeep_reminder IS '6a03c5a57ab717ec783f89951e97c0f3cfbcff43';
CREATE TRIGGER pgtrigger_no_change_d7b08 BEFORE DELETE OR UPDATE ON public.happenings_functiontest FOR EACH ROW EXECUTE FUNCTION public.garboard_append_only();
COMMENT ON TRIGGER pgtrigger_no_change_d7b08 ON public.happenings_functiontest IS '322ab959b6f58ceecd1fd03035df4a3df5868f4c';
CREATE TRIGGER pgtrigger_no_change_e35b2 BEFORE DELETE OR UPDATE ON public.upkeep_servicedone FOR EACH ROW EXECUTE FUNCTION public.garboard_append_only();
COMMENT ON TRIGGER pgtrigger_no_change_e35b2 ON public.upkeep_servicedone IS '222f374e430d66bbc5c80b5bb84568fea171e9fd';
CREATE TRIGGER pgtrigger_no_change_e967e BEFORE DELETE OR UPDATE ON public.vessels_loganchor FOR EACH ROW EXECUTE FUNCTION public.garboard_append_only();
COMMENT ON TRIGGER pgtrigger_no_change_e967e ON public.vessels_loganchor IS 'e9b229f00788070c1f8fe04438572c2e84ca434b';
CREATE TRIGGER pgtrigger_no_change_ea6c6 BEFORE DELETE OR UPDATE ON public.workorders_stretchvoid FOR EACH ROW EXECUTE FUNCTION public.garboard_append_only();
COMMENT ON TRIGGER pgtrigger_no_change_ea6c6 ON public.workorders_stretchvoid IS '1be3168118d03ce69616854fdf3c3953876a9a06';
CREATE TRIGGER pgtrigger_no_change_ecf15 BEFORE DELETE OR UPDATE ON public.vessels_logentry FOR EACH ROW EXECUTE FUNCTION public.garboard_append_only();
COMMENT ON TRIGGER pgtrigger_no_change_ecf15 ON public.vessels_logentry IS '548129de14cd8ddf9ee797fd0c31463513e1d6fc';
CREATE TRIGGER pgtrigger_no_change_f3b58 BEFORE DELETE OR UPDATE ON public.vessels_hourreading FOR EACH ROW EXECUTE FUNCTION public.garboard_append_only();
COMMENT ON TRIGGER pgtrigger_no_change_f3b58 ON public.vessels_hourreading IS '11568f035ac5b327216ec80721f297772aa8e311';
CREATE TRIGGER pgtrigger_no_change_f3b7f BEFORE DELETE OR UPDATE ON public.authorizations_stoppedcharge FOR EACH ROW EXECUTE FUNCTION public.garboard_append_only();
COMMENT ON TRIGGER pgtrigger_no_change_f3b7f ON public.authorizations_stoppedcharge IS '5024e9c079e71666b73400ef216f01c429c8d227';
CREATE TRIGGER pgtrigger_no_change_fa332 BEFORE DELETE OR UPDATE ON public.invoices_writeoff FOR EACH ROW EXECUTE FUNCTION public.garboard_append_only();
COMMENT ON TRIGGER pgtrigger_no_change_fa332 ON public.invoices_writeoff IS '844aec1f34d4c6ce4f39c53cffb103451d69c61e';
CREATE TRIGGER pgtrigger_no_change_fac7e BEFORE DELETE OR UPDATE ON public.happenings_settingback FOR EACH ROW EXECUTE FUNCTION public.garboard_append_only();
COMMENT ON TRIGGER pgtrigger_no_change_fac7e ON public.happenings_settingback IS 'cac4177e4d3accd2ad81297e5d5d1aa1e39452f4';
CREATE TRIGGER pgtrigger_no_change_fcfc7 BEFORE DELETE OR UPDATE ON public.appointments_appointmentchange FOR EACH ROW EXECUTE FUNCTION public.garboard_append_only();
COMMENT ON TRIGGER pgtrigger_no_change_fcfc7 ON public.appointments_appointmentchange IS '16cfbff13655b0de3a226c522b18ab9bd2cb8f04';
CREATE TRIGGER pgtrigger_no_delete_2a067 BEFORE DELETE ON public.workorders_stretch FOR EACH ROW EXECUTE FUNCTION public.garboard_append_only();
COMMENT ON TRIGGER pgtrigger_no_delete_2a067 ON public.workorders_stretch IS '9f9a20a67adae45d9d3d6452c4ee6ed884b81fdc';
CREATE TRIGGER pgtrigger_no_delete_d7641 BEFORE DELETE ON public.readings_speclimit FOR EACH ROW EXECUTE FUNCTION public.garboard_append_only();
COMMENT ON TRIGGER pgtrigger_no_delete_d7641 ON public.readings_speclimit IS 'd31d7d79cc9abf127e6a108fca1b3c0973883f59';
CREATE TRIGGER pgtrigger_no_delete_eff1b BEFORE DELETE ON public.workorders_sold FOR EACH ROW EXECUTE FUNCTION public.garboard_append_only();
COMMENT ON TRIGGER pgtrigger_no_delete_eff1b ON public.workorders_sold IS '56c8f322dfcb7855bd92607fcf59dd598a7866a4';
CREATE TRIGGER pgtrigger_no_other_end_40688 BEFORE UPDATE ON public.readings_speclimit FOR EACH ROW WHEN ((old.ended_at IS NOT NULL)) EXECUTE FUNCTION public.garboard_append_only();
COMMENT ON TRIGGER pgtrigger_no_other_end_40688 ON public.readings_speclimit IS '2723722ff8b149d2e95353218914940763ea65c4';
CREATE TRIGGER pgtrigger_no_truncate_0a287 BEFORE TRUNCATE ON public.invoices_loosewriteoff FOR EACH STATEMENT EXECUTE FUNCTION public.garboard_append_only();
COMMENT ON TRIGGER pgtrigger_no_truncate_0a287 ON public.invoices_loosewriteoff IS '6cad6b4bf78975bab592ca216a79854b4b012f6f';
CREATE TRIGGER pgtrigger_no_truncate_0d612 BEFORE TRUNCATE ON public.upkeep_reminder FOR EACH STATEMENT EXECUTE FUNCTION public.garboard_append_only();
COMMENT ON TRIGGER pgtrigger_no_truncate_0d612 ON public.upkeep_reminder IS '7574cadfba9c72077913235d747f6600f5407444';
CREATE TRIGGER pgtrigger_no_truncate_12489 BEFORE TRUNCATE ON public.happenings_endedchange FOR EACH STATEMENT EXECUTE FUNCTION public.garboard_append_only();
COMMENT ON TRIGGER pgtrigger_no_truncate_12489 ON public.happenings_endedchange IS '72a4d7f6be0f6eee7510ce7b067a1e21d01fbf9a';
CREATE TRIGGER pgtrigger_no_truncate_12f2d BEFORE TRUNCATE ON public.vessels_detailschange FOR EACH STATEMENT EXECUTE FUNCTION public.garboard_append_only();
COMMENT ON TRIGGER pgtrigger_no_truncate_12f2d ON public.vessels_detailschange IS 'f8facfd21529133dd0b01cb816ec4c7169e8cf97';
CREATE TRIGGER pgtrigger_no_truncate_13e7a BEFORE TRUNCATE ON public.vessels_unitidentification FOR EACH STATEMENT EXECUTE FUNCTION public.garboard_append_only();
COMMENT ON TRIGGER pgtrigger_no_truncate_13e7a ON public.vessels_unitidentification IS 'de103381cd4bfa8c69de89337507c2fcb7d44f99';
CREATE TRIGGER pgtrigger_no_truncate_17038 BEFORE TRUNCATE ON public.invoices_creditnote FOR EACH STATEMENT EXECUTE FUNCTION public.garboard_append_only();
COMMENT ON TRIGGER pgtrigger_no_truncate_17038 ON public.invoices_creditnote IS '273f6b5824d3f7623de38421042b1a4dd823b529';
CREATE TRIGGER pgtrigger_no_truncate_17995 BEFORE TRUNCATE ON public.faults_sighting FOR EACH STATEMENT EXECUTE FUNCTION public.garboard_append_only();
COMMENT ON TRIGGER pgtrigger_no_truncate_17995 ON public.faults_sighting IS '17946f203fd835a48cc52f7563aa54b8ba09f5bf';
CREATE TRIGGER pgtrigger_no_truncate_2179b BEFORE TRUNCATE ON public.upkeep_serviceof FOR EACH STATEMENT EXECUTE FUNCTION public.garboard_append_only();
COMMENT ON TRIGGER pgtrigger_no_truncate_2179b ON public.upkeep_serviceof IS '9ae23151632b77b45cfc0e199e055f6f6ab79a78';
CREATE TRIGGER pgtrigger_no_truncate_21b46 BEFORE TRUNCATE ON public.readings_sheetrow FOR EACH STATEMENT EXECUTE FUNCTION public.garboard_append_only();
COMMENT ON TRIGGER pgtrigger_no_truncate_21b46 ON public.readings_sheetrow IS '63506ffa5216d551df8f3f5c43c4a159162f4ad5';
CREATE TRIGGER pgtrigger_no_truncate_25d6f BEFORE TRUNCATE ON public.faults_clear FOR EACH STATEMENT EXECUTE FUNCTION public.garboard_append_only();
COMMENT ON TRIGGER pgtrigger_no_truncate_25d6f ON public.faults_clear IS 'ccc5861d0b37540b82de960a4b6d38b5fdadabd6';
CREATE TRIGGER pgtrigger_no_truncate_2a00f BEFORE TRUNCATE ON public.faults_scan FOR EACH STATEMENT EXECUTE FUNCTION public.garboard_append_only();
COMMENT ON TRIGGER pgtrigger_no_truncate_2a00f ON public.faults_scan IS '4b770df148e4a4e95241eb463c60f73ae854ffc2';
CREATE TRIGGER pgtrigger_no_truncate_31d3b BEFORE TRUNCATE ON public.happenings_settingchange FOR EACH STATEMENT EXECUTE FUNCTION public.garboard_append_only();
COMMENT ON TRIGGER pgtrigger_no_truncate_31d3b ON public.happenings_settingchange IS 'b9e983b6bb65c97bd8ed54a6aaef5ca5b87757e9';
CREATE TRIGGER pgtrigger_no_truncate_3b4b2 BEFORE TRUNCATE ON public.reports_reportwithdrawal FOR EACH STATEMENT EXECUTE FUNCTION public.garboard_append_only();
COMMENT ON TRIGGER pgtrigger_no_truncate_3b4b2 ON public.reports_reportwithdrawal IS 'f5bd3134ea4394828fa20186b3db4be9d6cca9c3';
CREATE TRIGGER pgtrigger_no_truncate_3dd72 BEFORE TRUNCATE ON public.happenings_visualfinding FOR EACH STATEMENT EXECUTE FUNCTION public.garboard_append_only();
COMMENT ON TRIGGER pgtrigger_no_truncate_3dd72 ON public.happenings_visualfinding IS 'cad29239144b3aeb00809ba860959adeb7022b55';
CREATE TRIGGER pgtrigger_no_truncate_42890 BEFORE TRUNCATE ON public.upkeep_reminderwish FOR EACH STATEMENT EXECUTE FUNCTION public.garboard_append_only();
COMMENT ON TRIGGER pgtrigger_no_truncate_42890 ON public.upkeep_reminderwish IS 'c53b9fa88ddd7843c7f45bd4ba05a7cae47c9244';
CREATE TRIGGER pgtrigger_no_truncate_4b2e2 BEFORE TRUNCATE ON public.faults_workonfault FOR EACH STATEMENT EXECUTE FUNCTION public.garboard_append_only();
COMMENT ON TRIGGER pgtrigger_no_truncate_4b2e2 ON public.faults_workonfault IS '4d896b0bf5e5b3d226d18e82d2747f06c0d728a8';
CREATE TRIGGER pgtrigger_no_truncate_51cac BEFORE TRUNCATE ON public.workorders_jobmove FOR EACH STATEMENT EXECUTE FUNCTION public.garboard_append_only();
COMMENT ON TRIGGER pgtrigger_no_truncate_51cac ON public.workorders_jobmove IS '36a8fc617ed0b3c9f0aeec0079f3865089bd32ed';
CREATE TRIGGER pgtrigger_no_truncate_557ba BEFORE TRUNCATE ON public.invoices_invoice FOR EACH STATEMENT EXECUTE FUNCTION public.garboard_append_only();
COMMENT ON TRIGGER pgtrigger_no_truncate_557ba ON public.invoices_invoice IS '5809d29e53b1d4dfa2e0e7e7b35bf685b66ca718';
CREATE TRIGGER pgtrigger_no_truncate_62722 BEFORE TRUNCATE ON public.vessels_loganchor FOR EACH STATEMENT EXECUTE FUNCTION public.garboard_append_only();
COMMENT ON TRIGGER pgtrigger_no_truncate_62722 ON public.vessels_loganchor IS 'acdae5bd10eec9aa9e2baebe8bbd69d05986201c';
CREATE TRIGGER pgtrigger_no_truncate_67791 BEFORE TRUNCATE ON public.invoices_writeoff FOR EACH STATEMENT EXECUTE FUNCTION public.garboard_append_only();
COMMENT ON TRIGGER pgtrigger_no_truncate_67791 ON public.invoices_writeoff IS 'd33ea31b8bd9e1c23c69b35460aafc302fd09da3';
CREATE TRIGGER pgtrigger_no_truncate_71fd1 BEFORE TRUNCATE ON public.vessels_logentry FOR EACH STATEMENT EXECUTE FUNCTION public.garboard_append_only();
COMMENT ON TRIGGER pgtrigger_no_truncate_71fd1 ON public.vessels_logentry IS 'bfed79ebab17344fc50e2c2cb6df64027b84cac6';
CREATE TRIGGER pgtrigger_no_truncate_78149 BEFORE TRUNCATE ON public.vessels_ownerchange FOR EACH STATEMENT EXECUTE FUNCTION public.garboard_append_only();
COMMENT ON TRIGGER pgtrigger_no_truncate_78149 ON public.vessels_ownerchange IS '5e57e4467ab52982761ceb22ab2d0e66a6dbc9c9';
CREATE TRIGGER pgtrigger_no_truncate_78a57 BEFORE TRUNCATE ON public.invoices_use FOR EACH STATEMENT EXECUTE FUNCTION public.garboard_append_only();
COMMENT ON TRIGGER pgtrigger_no_truncate_78a57 ON public.invoices_use IS '2e743a29be2d897b9f31f63884c7c998fd83b27c';
CREATE TRIGGER pgtrigger_no_truncate_7c465 BEFORE TRUNCATE ON public.workorders_stretchvoid FOR EACH STATEMENT EXECUTE FUNCTION public.garboard_append_only();
COMMENT ON TRIGGER pgtrigger_no_truncate_7c465 ON public.workorders_stretchvoid IS 'fe96c4f101a69fbda60e28bf9f89f2539e54f908';
CREATE TRIGGER pgtrigger_no_truncate_7cfa2 BEFORE TRUNCATE ON public.invoices_payment FOR EACH STATEMENT EXECUTE FUNCTION public.garboard_append_only();
COMMENT ON TRIGGER pgtrigger_no_truncate_7cfa2 ON public.invoices_payment IS 'd54f9fdf555ac143d9f891569848eee9ed0a328f';
CREATE TRIGGER pgtrigger_no_truncate_7f048 BEFORE TRUNCATE ON public.faults_workdone FOR EACH STATEMENT EXECUTE FUNCTION public.garboard_append_only();
COMMENT ON TRIGGER pgtrigger_no_truncate_7f048 ON public.faults_workdone IS '869fc316608ecde8cec9bb566b9dfb604ba908df';
CREATE TRIGGER pgtrigger_no_truncate_8371b BEFORE TRUNCATE ON public.authorizations_authorizationpaper FOR EACH STATEMENT EXECUTE FUNCTION public.garboard_append_only();
COMMENT ON TRIGGER pgtrigger_no_truncate_8371b ON public.authorizations_authorizationpaper IS '0488902b43a377ed92f9164ca2af18fefac62100';
CREATE TRIGGER pgtrigger_no_truncate_838b1 BEFORE TRUNCATE ON public.authorizations_letgo FOR EACH STATEMENT EXECUTE FUNCTION public.garboard_append_only();
COMMENT ON TRIGGER pgtrigger_no_truncate_838b1 ON public.authorizations_letgo IS '1420223fb6619074a9332b759e587f8470889389';
CREATE TRIGGER pgtrigger_no_truncate_87437 BEFORE TRUNCATE ON public.readings_cardwords FOR EACH STATEMENT EXECUTE FUNCTION public.garboard_append_only();
COMMENT ON TRIGGER pgtrigger_no_truncate_87437 ON public.readings_cardwords IS '099b6fb3f2c50690c263d27e7a9d97c00cf290ca';
CREATE TRIGGER pgtrigger_no_truncate_964c8 BEFORE TRUNCATE ON public.vessels_unitfitting FOR EACH STATEMENT EXECUTE FUNCTION public.garboard_append_only();
COMMENT ON TRIGGER pgtrigger_no_truncate_964c8 ON public.vessels_unitfitting IS '78eef27d4ad7bf04de365c9a47b89f102ab271d4';
CREATE TRIGGER pgtrigger_no_truncate_9c19c BEFORE TRUNCATE ON public.happenings_settingback FOR EACH STATEMENT EXECUTE FUNCTION public.garboard_append_only();
COMMENT ON TRIGGER pgtrigger_no_truncate_9c19c ON public.happenings_settingback IS '8a59f3e88a7b58e3774ca6098287f81b1b6a7d96';
CREATE TRIGGER pgtrigger_no_truncate_a0634 BEFORE TRUNCATE ON public.readings_sheetversion FOR EACH STATEMENT EXECUTE FUNCTION public.garboard_append_only();
COMMENT ON TRIGGER pgtrigger_no_truncate_a0634 ON public.readings_sheetversion IS '5014072c7e9b8cacf84f3ac77175a7c25e5ea83e';
CREATE TRIGGER pgtrigger_no_truncate_a507a BEFORE TRUNCATE ON public.reports_issuedreport FOR EACH STATEMENT EXECUTE FUNCTION public.garboard_append_only();
COMMENT ON TRIGGER pgtrigger_no_truncate_a507a ON public.reports_issuedreport IS 'c8ccd606ff3ada8a436ad6267871294bf5cdcf98';
CREATE TRIGGER pgtrigger_no_truncate_a724c BEFORE TRUNCATE ON public.workorders_stretch FOR EACH STATEMENT EXECUTE FUNCTION public.garboard_append_only();
COMMENT ON TRIGGER pgtrigger_no_truncate_a724c ON public.workorders_stretch IS '75cd92f400dab72bac148f8337ac1b3664216da9';
CREATE TRIGGER pgtrigger_no_truncate_a9bc0 BEFORE TRUNCATE ON public.workorders_stretchend FOR EACH STATEMENT EXECUTE FUNCTION public.garboard_append_only();
COMMENT ON TRIGGER pgtrigger_no_truncate_a9bc0 ON public.workorders_stretchend IS '35d97b7a84d6fc7794d7a836da62b0640ff7861a';
CREATE TRIGGER pgtrigger_no_truncate_b461c BEFORE TRUNCATE ON public.appointments_appointmentchange FOR EACH STATEMENT EXECUTE FUNCTION public.garboard_append_only();
COMMENT ON TRIGGER pgtrigger_no_truncate_b461c ON public.appointments_appointmentchange IS '116ce1c58ac4bc7b0a8783cb5cf2c0dac4394916';
CREATE TRIGGER pgtrigger_no_truncate_c1a0d BEFORE TRUNCATE ON public.invoices_drawnpaper FOR EACH STATEMENT EXECUTE FUNCTION public.garboard_append_only();
COMMENT ON TRIGGER pgtrigger_no_truncate_c1a0d ON public.invoices_drawnpaper IS '90bd8d783854f81a6777b3eae3ff292af7fab443';
CREATE TRIGGER pgtrigger_no_truncate_c4b37 BEFORE TRUNCATE ON public.workorders_jobchange FOR EACH STATEMENT EXECUTE FUNCTION public.garboard_append_only();
COMMENT ON TRIGGER pgtrigger_no_truncate_c4b37 ON public.workorders_jobchange IS '18da38a1d8f8d84e146c52abe358585868a17152';
CREATE TRIGGER pgtrigger_no_truncate_c70cb BEFORE TRUNCATE ON public.jobparts_partfitted FOR EACH STATEMENT EXECUTE FUNCTION public.garboard_append_only();
COMMENT ON TRIGGER pgtrigger_no_truncate_c70cb ON public.jobparts_partfitted IS 'e2e765b940ca07bf77ae16351c4915aa4121267c';
CREATE TRIGGER pgtrigger_no_truncate_cce0c BEFORE TRUNCATE ON public.authorizations_stoppedcharge FOR EACH STATEMENT EXECUTE FUNCTION public.garboard_append_only();
COMMENT ON TRIGGER pgtrigger_no_truncate_cce0c ON public.authorizations_stoppedcharge IS '4ede48045198bcdd1e40fff1d0b8fb6f6e9bb505';
CREATE TRIGGER pgtrigger_no_truncate_d1c98 BEFORE TRUNCATE ON public.workorders_sold FOR EACH STATEMENT EXECUTE FUNCTION public.garboard_append_only();
COMMENT ON TRIGGER pgtrigger_no_truncate_d1c98 ON public.workorders_sold IS '5648fe8561564df8a56d2d8df252100fc4b95a94';
CREATE TRIGGER pgtrigger_no_truncate_d44b6 BEFORE TRUNCATE ON public.invoices_invoicedcharge FOR EACH STATEMENT EXECUTE FUNCTION public.garboard_append_only();
COMMENT ON TRIGGER pgtrigger_no_truncate_d44b6 ON public.invoices_invoicedcharge IS '43e855a75cb821bbdb74d31957fd764f2e25ee48';
CREATE TRIGGER pgtrigger_no_truncate_d9f07 BEFORE TRUNCATE ON public.commands_command FOR EACH STATEMENT EXECUTE FUNCTION public.garboard_append_only();
COMMENT ON TRIGGER pgtrigger_no_truncate_d9f07 ON public.commands_command IS '9ba839a61b47e9a3b335219b91cb4b5776e311d8';
CREATE TRIGGER pgtrigger_no_truncate_db2dd BEFORE TRUNCATE ON public.calls_call FOR EACH STATEMENT EXECUTE FUNCTION public.garboard_append_only();
COMMENT ON TRIGGER pgtrigger_no_truncate_db2dd ON public.calls_call IS '4ca649a9756c827453ba5e4c366edc2a62c5306e';
CREATE TRIGGER pgtrigger_no_truncate_dbe8c BEFORE TRUNCATE ON public.invoices_creditedcharge FOR EACH STATEMENT EXECUTE FUNCTION public.garboard_append_only();
COMMENT ON TRIGGER pgtrigger_no_truncate_dbe8c ON public.invoices_creditedcharge IS '69cb389f60e6a2e6d27b69990c6022db81f689db';
CREATE TRIGGER pgtrigger_no_truncate_e5d9f BEFORE TRUNCATE ON public.upkeep_planversion FOR EACH STATEMENT EXECUTE FUNCTION public.garboard_append_only();
COMMENT ON TRIGGER pgtrigger_no_truncate_e5d9f ON public.upkeep_planversion IS '8eca2160b1576b3b4ee0e91021859bfbeca6e42e';
CREATE TRIGGER pgtrigger_no_truncate_e8d47 BEFORE TRUNCATE ON public.faults_clearedfault FOR EACH STATEMENT EXECUTE FUNCTION public.garboard_append_only();
COMMENT ON TRIGGER pgtrigger_no_truncate_e8d47 ON public.faults_clearedfault IS '36a6487825469e7ed75481056e3001a9b77a83c4';
CREATE TRIGGER pgtrigger_no_truncate_e8fae BEFORE TRUNCATE ON public.vessels_meterreplacement FOR EACH STATEMENT EXECUTE FUNCTION public.garboard_append_only();
COMMENT ON TRIGGER pgtrigger_no_truncate_e8fae ON public.vessels_meterreplacement IS 'b55c8de5c0330eaf2819a4ea62890adae076b562';
CREATE TRIGGER pgtrigger_no_truncate_ec69e BEFORE TRUNCATE ON public.readings_reading FOR EACH STATEMENT EXECUTE FUNCTION public.garboard_append_only();
COMMENT ON TRIGGER pgtrigger_no_truncate_ec69e ON public.readings_reading IS '827bd4cb4ff9856f54dcecd27d8dc13af1c0b25e';
CREATE TRIGGER pgtrigger_no_truncate_ed22c BEFORE TRUNCATE ON public.upkeep_servicedone FOR EACH STATEMENT EXECUTE FUNCTION public.garboard_append_only();
COMMENT ON TRIGGER pgtrigger_no_truncate_ed22c ON public.upkeep_servicedone IS '77d8d81fbe685f47a0f1ab898e6e443524fa7dea';
CREATE TRIGGER pgtrigger_no_truncate_f4684 BEFORE TRUNCATE ON public.happenings_functiontest FOR EACH STATEMENT EXECUTE FUNCTION public.garboard_append_only();
COMMENT ON TRIGGER pgtrigger_no_truncate_f4684 ON public.happenings_functiontest IS '310578cd60e9ebb96025f2f3cbaa5b8b076aa88e';
CREATE TRIGGER pgtrigger_no_truncate_f71a1 BEFORE TRUNCATE ON public.vessels_hourreading FOR EACH STATEMENT EXECUTE FUNCTION public.garboard_append_only();
COMMENT ON TRIGGER pgtrigger_no_truncate_f71a1 ON public.vessels_hourreading IS 'ac22960865921851f6b83cddeef5409174a9c1db';
CREATE TRIGGER pgtrigger_only_derived_40373 BEFORE UPDATE ON public.workorders_sold FOR EACH ROW WHEN (((old.id IS DISTINCT FROM new.id) OR (old.charge_id IS DISTINCT FROM new.charge_id) OR (old.root_id IS DISTINCT FROM new.root_id) OR (old.stretch_id IS DISTINCT FROM new.stretch_id) OR (old.minutes IS DISTINCT FROM new.minutes) OR (old.freed_at IS NOT NULL))) EXECUTE FUNCTION public.garboard_append_only();
COMMENT ON TRIGGER pgtrigger_only_derived_40373 ON public.workorders_sold IS '91ca88494cf5bab4dd33e91f61249c2b3c8979d5';
CREATE TRIGGER pgtrigger_only_derived_ddd36 BEFORE UPDATE ON public.workorders_stretch FOR EACH ROW WHEN (((old.id IS DISTINCT FROM new.id) OR ((old.source)::text IS DISTINCT FROM (new.source)::text) OR (old.line_id IS DISTINCT FROM new.line_id) OR (old.person_id IS DISTINCT FROM new.person_id) OR (old.started_at IS DISTINCT FROM new.started_at) OR (old.day IS DISTINCT FROM new.day) OR ((old.remark)::text IS DISTINCT FROM (new.remark)::text) OR (old.amends_id IS DISTINCT FROM new.amends_id) OR (old.root_id IS DISTINCT FROM new.root_id) OR ((old.why)::text IS DISTINCT FROM (new.why)::text) OR (old.by_id IS DISTINCT FROM new.by_id) OR (old.recorded_at IS DISTINCT FROM new.recorded_at) OR ((old.source)::text <> 'clock'::text))) EXECUTE FUNCTION public.garboard_append_only();
COMMENT ON TRIGGER pgtrigger_only_derived_ddd36 ON public.workorders_stretch IS 'a0857d328f4495d6f07ce21250c80f28398e2114';
ALTER TABLE ONLY public.account_emailaddress
    ADD CONSTRAINT account_emailaddress_user_id_2c513194_fk_staff_person_id FOREIGN KEY (user_id) REFERENCES public.staff_person(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.account_emailconfirmation
    ADD CONSTRAINT account_emailconfirm_email_address_id_5b7f8c58_fk_account_e FOREIGN KEY (email_address_id) REFERENCES public.account_emailaddress(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.appointments_appointment
    ADD CONSTRAINT appointments_appoint_added_by_id_9e3f05c8_fk_staff_per FOREIGN KEY (added_by_id) REFERENCES public.staff_person(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.appointments_appointmentchange
    ADD CONSTRAINT appointments_appoint_appointment_id_e0246c1c_fk_appointme FOREIGN KEY (appointment_id) REFERENCES public.appointments_appointment(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.appointments_appointmentchange
    ADD CONSTRAINT appointments_appoint_by_id_27b97ad3_fk_staff_per FOREIGN KEY (by_id) REFERENCES public.staff_person(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.appointments_appointment
    ADD CONSTRAINT appointments_appoint_changed_by_id_f447313a_fk_staff_per FOREIGN KEY (changed_by_id) REFERENCES public.staff_person(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.appointments_appointment
    ADD CONSTRAINT appointments_appoint_technician_id_8da81c75_fk_staff_per FOREIGN KEY (technician_id) REFERENCES public.staff_person(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.appointments_appointment
    ADD CONSTRAINT appointments_appoint_vessel_id_20d0ca31_fk_vessels_v FOREIGN KEY (vessel_id) REFERENCES public.vessels_vessel(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.appointments_appointment
    ADD CONSTRAINT appointments_appointment_bay_id_52fabf9a_fk_appointments_bay_id FOREIGN KEY (bay_id) REFERENCES public.appointments_bay(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.appointments_appointment
    ADD CONSTRAINT appointments_appointment_job_id_90a5fb6e_fk_workorders_job_id FOREIGN KEY (job_id) REFERENCES public.workorders_job(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.appointments_bay
    ADD CONSTRAINT appointments_bay_added_by_id_9203413a_fk_staff_person_id FOREIGN KEY (added_by_id) REFERENCES public.staff_person(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.appointments_bay
    ADD CONSTRAINT appointments_bay_changed_by_id_81a9c801_fk_staff_person_id FOREIGN KEY (changed_by_id) REFERENCES public.staff_person(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.appointments_bay
    ADD CONSTRAINT appointments_bay_ended_by_id_67345397_fk_staff_person_id FOREIGN KEY (ended_by_id) REFERENCES public.staff_person(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.auth_group_permissions
    ADD CONSTRAINT auth_group_permissio_permission_id_84c5c92e_fk_auth_perm FOREIGN KEY (permission_id) REFERENCES public.auth_permission(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.auth_group_permissions
    ADD CONSTRAINT auth_group_permissions_group_id_b120cbf9_fk_auth_group_id FOREIGN KEY (group_id) REFERENCES public.auth_group(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.auth_permission
    ADD CONSTRAINT auth_permission_content_type_id_2f476e4b_fk_django_co FOREIGN KEY (content_type_id) REFERENCES public.django_content_type(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.authorizations_answeredpiece
    ADD CONSTRAINT authorizations_answe_authorization_id_12b9a39c_fk_authoriza FOREIGN KEY (authorization_id) REFERENCES public.authorizations_authorization(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.authorizations_authorizationpaper
    ADD CONSTRAINT authorizations_autho_authorization_id_3f8c113b_fk_authoriza FOREIGN KEY (authorization_id) REFERENCES public.authorizations_authorization(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.authorizations_authorizationrules
    ADD CONSTRAINT authorizations_autho_changed_by_id_b6b9529a_fk_staff_per FOREIGN KEY (changed_by_id) REFERENCES public.staff_person(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.authorizations_authorization
    ADD CONSTRAINT authorizations_autho_job_id_f7b108f9_fk_workorder FOREIGN KEY (job_id) REFERENCES public.workorders_job(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.authorizations_authorization
    ADD CONSTRAINT authorizations_autho_line_id_83c54b48_fk_workorder FOREIGN KEY (line_id) REFERENCES public.workorders_jobline(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.authorizations_authorization
    ADD CONSTRAINT authorizations_autho_noted_by_id_2ac3218d_fk_staff_per FOREIGN KEY (noted_by_id) REFERENCES public.staff_person(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.authorizations_authorization
    ADD CONSTRAINT authorizations_autho_withdrawn_by_id_34eb0ac4_fk_staff_per FOREIGN KEY (withdrawn_by_id) REFERENCES public.staff_person(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.authorizations_deferredwork
    ADD CONSTRAINT authorizations_defer_authorization_id_bbc5d843_fk_authoriza FOREIGN KEY (authorization_id) REFERENCES public.authorizations_authorization(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.authorizations_deferredwork
    ADD CONSTRAINT authorizations_defer_engine_id_f80b53fb_fk_vessels_e FOREIGN KEY (engine_id) REFERENCES public.vessels_engine(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.authorizations_deferredwork
    ADD CONSTRAINT authorizations_defer_job_id_e888e3ee_fk_workorder FOREIGN KEY (job_id) REFERENCES public.workorders_job(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.authorizations_deferredstep
    ADD CONSTRAINT authorizations_defer_job_id_faa922d8_fk_workorder FOREIGN KEY (job_id) REFERENCES public.workorders_job(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.authorizations_deferredstep
    ADD CONSTRAINT authorizations_defer_line_id_0704ab23_fk_workorder FOREIGN KEY (line_id) REFERENCES public.workorders_jobline(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.authorizations_deferredwork
    ADD CONSTRAINT authorizations_defer_vessel_id_a81c3b25_fk_vessels_v FOREIGN KEY (vessel_id) REFERENCES public.vessels_vessel(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.authorizations_deferredstep
    ADD CONSTRAINT authorizations_defer_work_id_3271cedd_fk_authoriza FOREIGN KEY (work_id) REFERENCES public.authorizations_deferredwork(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.authorizations_deferredstep
    ADD CONSTRAINT authorizations_deferredstep_by_id_bcfb5969_fk_staff_person_id FOREIGN KEY (by_id) REFERENCES public.staff_person(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.authorizations_goingon
    ADD CONSTRAINT authorizations_going_after_id_174ea61b_fk_authoriza FOREIGN KEY (after_id) REFERENCES public.authorizations_authorization(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.authorizations_goingon
    ADD CONSTRAINT authorizations_goingon_job_id_15519f3a_fk_workorders_job_id FOREIGN KEY (job_id) REFERENCES public.workorders_job(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.authorizations_goingon
    ADD CONSTRAINT authorizations_goingon_noted_by_id_413db144_fk_staff_person_id FOREIGN KEY (noted_by_id) REFERENCES public.staff_person(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.authorizations_letgo
    ADD CONSTRAINT authorizations_letgo_noted_by_id_6ba65f5d_fk_staff_person_id FOREIGN KEY (noted_by_id) REFERENCES public.staff_person(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.authorizations_letgo
    ADD CONSTRAINT authorizations_letgo_stopped_id_b156ba7c_fk_authoriza FOREIGN KEY (stopped_id) REFERENCES public.authorizations_stoppedcharge(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.authorizations_stoppedcharge
    ADD CONSTRAINT authorizations_stopp_job_id_9299fb87_fk_workorder FOREIGN KEY (job_id) REFERENCES public.workorders_job(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.authorizations_stoppedcharge
    ADD CONSTRAINT authorizations_stopp_last_id_8002d353_fk_authoriza FOREIGN KEY (last_id) REFERENCES public.authorizations_authorization(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.authorizations_stoppedcharge
    ADD CONSTRAINT authorizations_stopp_line_id_052c0b0c_fk_workorder FOREIGN KEY (line_id) REFERENCES public.workorders_jobline(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.authorizations_stoppedcharge
    ADD CONSTRAINT authorizations_stoppedcharge_by_id_113b9a8b_fk_staff_person_id FOREIGN KEY (by_id) REFERENCES public.staff_person(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.calendar_calendarfeed
    ADD CONSTRAINT calendar_calendarfeed_person_id_44b88231_fk_staff_person_id FOREIGN KEY (person_id) REFERENCES public.staff_person(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.calendar_calendarfeed
    ADD CONSTRAINT calendar_calendarfeed_revoked_by_id_fd8714cd_fk_staff_person_id FOREIGN KEY (revoked_by_id) REFERENCES public.staff_person(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.calls_call
    ADD CONSTRAINT calls_call_by_id_12ffe8fe_fk_staff_person_id FOREIGN KEY (by_id) REFERENCES public.staff_person(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.calls_call
    ADD CONSTRAINT calls_call_customer_id_e027fdd7_fk_vessels_customer_id FOREIGN KEY (customer_id) REFERENCES public.vessels_customer(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.calls_call
    ADD CONSTRAINT calls_call_job_id_829f2061_fk_workorders_job_id FOREIGN KEY (job_id) REFERENCES public.workorders_job(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.canlogs_canlog
    ADD CONSTRAINT canlogs_canlog_brought_by_id_b61bfc21_fk_staff_person_id FOREIGN KEY (brought_by_id) REFERENCES public.staff_person(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.canlogs_canlog
    ADD CONSTRAINT canlogs_canlog_job_id_523539ca_fk_workorders_job_id FOREIGN KEY (job_id) REFERENCES public.workorders_job(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.commands_command
    ADD CONSTRAINT commands_command_actor_id_f9d60682_fk_staff_person_id FOREIGN KEY (actor_id) REFERENCES public.staff_person(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.documents_notice
    ADD CONSTRAINT documents_notice_changed_by_id_1b705ef4_fk_staff_person_id FOREIGN KEY (changed_by_id) REFERENCES public.staff_person(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.estimates_estimate
    ADD CONSTRAINT estimates_estimate_changed_by_id_da49ba7c_fk_staff_person_id FOREIGN KEY (changed_by_id) REFERENCES public.staff_person(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.estimates_estimate
    ADD CONSTRAINT estimates_estimate_given_by_id_6afd0fa9_fk_staff_person_id FOREIGN KEY (given_by_id) REFERENCES public.staff_person(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.estimates_estimate
    ADD CONSTRAINT estimates_estimate_job_id_c584fda2_fk_workorders_job_id FOREIGN KEY (job_id) REFERENCES public.workorders_job(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.estimates_estimate
    ADD CONSTRAINT estimates_estimate_replaces_id_673893b2_fk_estimates FOREIGN KEY (replaces_id) REFERENCES public.estimates_estimate(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.estimates_estimate
    ADD CONSTRAINT estimates_estimate_started_by_id_86a2ce87_fk_staff_person_id FOREIGN KEY (started_by_id) REFERENCES public.staff_person(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.estimates_estimateline
    ADD CONSTRAINT estimates_estimateli_changed_by_id_0562c767_fk_staff_per FOREIGN KEY (changed_by_id) REFERENCES public.staff_person(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.estimates_estimateline
    ADD CONSTRAINT estimates_estimateli_estimate_id_d37a1a75_fk_estimates FOREIGN KEY (estimate_id) REFERENCES public.estimates_estimate(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.estimates_estimateline
    ADD CONSTRAINT estimates_estimateli_job_line_id_6ddf7ef5_fk_workorder FOREIGN KEY (job_line_id) REFERENCES public.workorders_jobline(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.estimates_estimateline
    ADD CONSTRAINT estimates_estimateli_option_id_0bed02bb_fk_estimates FOREIGN KEY (option_id) REFERENCES public.estimates_estimateoption(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.estimates_estimateline
    ADD CONSTRAINT estimates_estimateline_part_id_876104cf_fk_parts_part_id FOREIGN KEY (part_id) REFERENCES public.parts_part(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.estimates_estimateoption
    ADD CONSTRAINT estimates_estimateop_changed_by_id_e96352a3_fk_staff_per FOREIGN KEY (changed_by_id) REFERENCES public.staff_person(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.estimates_estimateoption
    ADD CONSTRAINT estimates_estimateop_estimate_id_1b302d10_fk_estimates FOREIGN KEY (estimate_id) REFERENCES public.estimates_estimate(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.estimates_kit
    ADD CONSTRAINT estimates_kit_changed_by_id_1a5d3ddf_fk_staff_person_id FOREIGN KEY (changed_by_id) REFERENCES public.staff_person(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.estimates_kitline
    ADD CONSTRAINT estimates_kitline_changed_by_id_c090e061_fk_staff_person_id FOREIGN KEY (changed_by_id) REFERENCES public.staff_person(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.estimates_kitline
    ADD CONSTRAINT estimates_kitline_kit_id_7df22405_fk_estimates_kit_id FOREIGN KEY (kit_id) REFERENCES public.estimates_kit(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.estimates_kitline
    ADD CONSTRAINT estimates_kitline_part_id_dfe07f19_fk_parts_part_id FOREIGN KEY (part_id) REFERENCES public.parts_part(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.faults_clear
    ADD CONSTRAINT faults_clear_entry_id_7860627e_fk_vessels_logentry_id FOREIGN KEY (entry_id) REFERENCES public.vessels_logentry(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.faults_clear
    ADD CONSTRAINT faults_clear_unit_id_dc960dcc_fk_vessels_controlunit_id FOREIGN KEY (unit_id) REFERENCES public.vessels_controlunit(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.faults_clearedfault
    ADD CONSTRAINT faults_clearedfault_clear_id_6a9f31a6_fk_faults_clear_entry_id FOREIGN KEY (clear_id) REFERENCES public.faults_clear(entry_id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.faults_clearedfault
    ADD CONSTRAINT faults_clearedfault_fault_id_ade1c4b3_fk_faults_fault_id FOREIGN KEY (fault_id) REFERENCES public.faults_fault(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.faults_episode
    ADD CONSTRAINT faults_episode_closing_id_c376e912_fk_vessels_logentry_id FOREIGN KEY (closing_id) REFERENCES public.vessels_logentry(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.faults_episode
    ADD CONSTRAINT faults_episode_fault_id_1770cb09_fk_faults_fault_id FOREIGN KEY (fault_id) REFERENCES public.faults_fault(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.faults_episode
    ADD CONSTRAINT faults_episode_opening_id_0b6a49eb_fk_vessels_logentry_id FOREIGN KEY (opening_id) REFERENCES public.vessels_logentry(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.faults_episode
    ADD CONSTRAINT faults_episode_work_id_34251e93_fk_faults_workdone_entry_id FOREIGN KEY (work_id) REFERENCES public.faults_workdone(entry_id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.faults_fault
    ADD CONSTRAINT faults_fault_engine_id_a3ad29f9_fk_vessels_engine_id FOREIGN KEY (engine_id) REFERENCES public.vessels_engine(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.faults_fault
    ADD CONSTRAINT faults_fault_unit_id_9a0e2384_fk_vessels_controlunit_id FOREIGN KEY (unit_id) REFERENCES public.vessels_controlunit(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.faults_fault
    ADD CONSTRAINT faults_fault_vessel_id_ded436af_fk_vessels_vessel_id FOREIGN KEY (vessel_id) REFERENCES public.vessels_vessel(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.faults_scan
    ADD CONSTRAINT faults_scan_entry_id_a3b50533_fk_vessels_logentry_id FOREIGN KEY (entry_id) REFERENCES public.vessels_logentry(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.faults_scan
    ADD CONSTRAINT faults_scan_registered_id_f7d44cef_fk_instruments_instrument_id FOREIGN KEY (registered_id) REFERENCES public.instruments_instrument(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.faults_scan
    ADD CONSTRAINT faults_scan_unit_id_8ed8e457_fk_vessels_controlunit_id FOREIGN KEY (unit_id) REFERENCES public.vessels_controlunit(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.faults_sighting
    ADD CONSTRAINT faults_sighting_fault_id_02b14abe_fk_faults_fault_id FOREIGN KEY (fault_id) REFERENCES public.faults_fault(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.faults_sighting
    ADD CONSTRAINT faults_sighting_scan_id_738ec449_fk_faults_scan_entry_id FOREIGN KEY (scan_id) REFERENCES public.faults_scan(entry_id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.faults_workdone
    ADD CONSTRAINT faults_workdone_entry_id_db81d919_fk_vessels_logentry_id FOREIGN KEY (entry_id) REFERENCES public.vessels_logentry(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.faults_workdone
    ADD CONSTRAINT faults_workdone_line_id_9362d90e_fk_workorders_jobline_id FOREIGN KEY (line_id) REFERENCES public.workorders_jobline(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.faults_workonfault
    ADD CONSTRAINT faults_workonfault_fault_id_3f27df35_fk_faults_fault_id FOREIGN KEY (fault_id) REFERENCES public.faults_fault(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.faults_workonfault
    ADD CONSTRAINT faults_workonfault_work_id_59ee709b_fk_faults_workdone_entry_id FOREIGN KEY (work_id) REFERENCES public.faults_workdone(entry_id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.happenings_endedchange
    ADD CONSTRAINT happenings_endedchan_back_id_bb73120b_fk_happening FOREIGN KEY (back_id) REFERENCES public.happenings_settingback(entry_id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.happenings_endedchange
    ADD CONSTRAINT happenings_endedchan_change_id_2c6a57bc_fk_happening FOREIGN KEY (change_id) REFERENCES public.happenings_settingchange(entry_id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.happenings_functiontest
    ADD CONSTRAINT happenings_functiont_entry_id_32899221_fk_vessels_l FOREIGN KEY (entry_id) REFERENCES public.vessels_logentry(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.happenings_settingback
    ADD CONSTRAINT happenings_settingba_change_id_d381d02a_fk_happening FOREIGN KEY (change_id) REFERENCES public.happenings_settingchange(entry_id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.happenings_settingback
    ADD CONSTRAINT happenings_settingback_entry_id_6cdefc7c_fk_vessels_logentry_id FOREIGN KEY (entry_id) REFERENCES public.vessels_logentry(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.happenings_settingchange
    ADD CONSTRAINT happenings_settingch_entry_id_df91d03d_fk_vessels_l FOREIGN KEY (entry_id) REFERENCES public.vessels_logentry(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.happenings_settingchange
    ADD CONSTRAINT happenings_settingch_first_id_cdf716df_fk_happening FOREIGN KEY (first_id) REFERENCES public.happenings_settingchange(entry_id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.happenings_visualfinding
    ADD CONSTRAINT happenings_visualfin_entry_id_dc64badd_fk_vessels_l FOREIGN KEY (entry_id) REFERENCES public.vessels_logentry(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.instruments_calibration
    ADD CONSTRAINT instruments_calibrat_instrument_id_3d1f9b0c_fk_instrumen FOREIGN KEY (instrument_id) REFERENCES public.instruments_instrument(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.instruments_calibration
    ADD CONSTRAINT instruments_calibrat_struck_by_id_5e4dbd52_fk_staff_per FOREIGN KEY (struck_by_id) REFERENCES public.staff_person(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.instruments_calibration
    ADD CONSTRAINT instruments_calibration_added_by_id_ee7686ea_fk_staff_person_id FOREIGN KEY (added_by_id) REFERENCES public.staff_person(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.instruments_instrument
    ADD CONSTRAINT instruments_instrume_changed_by_id_34b6b7aa_fk_staff_per FOREIGN KEY (changed_by_id) REFERENCES public.staff_person(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.invoices_account
    ADD CONSTRAINT invoices_account_changed_by_id_e4de0b8d_fk_staff_person_id FOREIGN KEY (changed_by_id) REFERENCES public.staff_person(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.invoices_billingprofile
    ADD CONSTRAINT invoices_billingprof_changed_by_id_d3aaa263_fk_staff_per FOREIGN KEY (changed_by_id) REFERENCES public.staff_person(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.invoices_creditedcharge
    ADD CONSTRAINT invoices_creditedcha_charge_id_7bc60fb8_fk_workorder FOREIGN KEY (charge_id) REFERENCES public.workorders_charge(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.invoices_creditedcharge
    ADD CONSTRAINT invoices_creditedcha_credit_id_9f60cf67_fk_invoices_ FOREIGN KEY (credit_id) REFERENCES public.invoices_creditnote(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.invoices_creditnote
    ADD CONSTRAINT invoices_creditnote_customer_id_c014f983_fk_vessels_customer_id FOREIGN KEY (customer_id) REFERENCES public.vessels_customer(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.invoices_creditnote
    ADD CONSTRAINT invoices_creditnote_invoice_id_b5701f76_fk_invoices_invoice_id FOREIGN KEY (invoice_id) REFERENCES public.invoices_invoice(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.invoices_creditnote
    ADD CONSTRAINT invoices_creditnote_made_by_id_a5e8eead_fk_staff_person_id FOREIGN KEY (made_by_id) REFERENCES public.staff_person(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.invoices_customerbilling
    ADD CONSTRAINT invoices_customerbil_changed_by_id_d6911833_fk_staff_per FOREIGN KEY (changed_by_id) REFERENCES public.staff_person(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.invoices_customerbilling
    ADD CONSTRAINT invoices_customerbil_customer_id_7e6dd94c_fk_vessels_c FOREIGN KEY (customer_id) REFERENCES public.vessels_customer(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.invoices_drawnpaper
    ADD CONSTRAINT invoices_drawnpaper_credit_id_1400d69e_fk_invoices_ FOREIGN KEY (credit_id) REFERENCES public.invoices_creditnote(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.invoices_drawnpaper
    ADD CONSTRAINT invoices_drawnpaper_invoice_id_7345e4a7_fk_invoices_invoice_id FOREIGN KEY (invoice_id) REFERENCES public.invoices_invoice(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.invoices_invoice
    ADD CONSTRAINT invoices_invoice_customer_id_137e7301_fk_vessels_customer_id FOREIGN KEY (customer_id) REFERENCES public.vessels_customer(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.invoices_invoice
    ADD CONSTRAINT invoices_invoice_job_id_63c0c78c_fk_workorders_job_id FOREIGN KEY (job_id) REFERENCES public.workorders_job(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.invoices_invoice
    ADD CONSTRAINT invoices_invoice_made_by_id_43e01fe5_fk_staff_person_id FOREIGN KEY (made_by_id) REFERENCES public.staff_person(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.invoices_invoicedcharge
    ADD CONSTRAINT invoices_invoicedcha_charge_id_e7280728_fk_workorder FOREIGN KEY (charge_id) REFERENCES public.workorders_charge(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.invoices_invoicedcharge
    ADD CONSTRAINT invoices_invoicedcha_invoice_id_d0993da3_fk_invoices_ FOREIGN KEY (invoice_id) REFERENCES public.invoices_invoice(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.invoices_lefttoinvoice
    ADD CONSTRAINT invoices_lefttoinvoice_job_id_b1818b36_fk_workorders_job_id FOREIGN KEY (job_id) REFERENCES public.workorders_job(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.invoices_loosewriteoff
    ADD CONSTRAINT invoices_loosewriteo_customer_id_2ecbcf97_fk_vessels_c FOREIGN KEY (customer_id) REFERENCES public.vessels_customer(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.invoices_loosewriteoff
    ADD CONSTRAINT invoices_loosewriteo_reverses_id_614279f3_fk_invoices_ FOREIGN KEY (reverses_id) REFERENCES public.invoices_loosewriteoff(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.invoices_loosewriteoff
    ADD CONSTRAINT invoices_loosewriteoff_by_id_24479aac_fk_staff_person_id FOREIGN KEY (by_id) REFERENCES public.staff_person(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.invoices_openinvoice
    ADD CONSTRAINT invoices_openinvoice_invoice_id_7e95654b_fk_invoices_invoice_id FOREIGN KEY (invoice_id) REFERENCES public.invoices_invoice(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.invoices_payment
    ADD CONSTRAINT invoices_payment_by_id_74af11b2_fk_staff_person_id FOREIGN KEY (by_id) REFERENCES public.staff_person(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.invoices_payment
    ADD CONSTRAINT invoices_payment_customer_id_6fb04e6c_fk_vessels_customer_id FOREIGN KEY (customer_id) REFERENCES public.vessels_customer(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.invoices_payment
    ADD CONSTRAINT invoices_payment_invoice_id_d69b2c32_fk_invoices_invoice_id FOREIGN KEY (invoice_id) REFERENCES public.invoices_invoice(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.invoices_payment
    ADD CONSTRAINT invoices_payment_job_id_71cd921c_fk_workorders_job_id FOREIGN KEY (job_id) REFERENCES public.workorders_job(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.invoices_payment
    ADD CONSTRAINT invoices_payment_reverses_id_0475ff66_fk_invoices_payment_id FOREIGN KEY (reverses_id) REFERENCES public.invoices_payment(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.invoices_paymentrest
    ADD CONSTRAINT invoices_paymentrest_payment_id_8fce71b5_fk_invoices_payment_id FOREIGN KEY (payment_id) REFERENCES public.invoices_payment(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.invoices_use
    ADD CONSTRAINT invoices_use_by_id_d7bacffe_fk_staff_person_id FOREIGN KEY (by_id) REFERENCES public.staff_person(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.invoices_use
    ADD CONSTRAINT invoices_use_credit_id_75bed739_fk_invoices_creditnote_id FOREIGN KEY (credit_id) REFERENCES public.invoices_creditnote(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.invoices_use
    ADD CONSTRAINT invoices_use_invoice_id_e02922d5_fk_invoices_invoice_id FOREIGN KEY (invoice_id) REFERENCES public.invoices_invoice(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.invoices_use
    ADD CONSTRAINT invoices_use_off_id_5ad19e2d_fk_invoices_loosewriteoff_id FOREIGN KEY (off_id) REFERENCES public.invoices_loosewriteoff(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.invoices_use
    ADD CONSTRAINT invoices_use_out_id_964863a7_fk_invoices_payment_id FOREIGN KEY (out_id) REFERENCES public.invoices_payment(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.invoices_use
    ADD CONSTRAINT invoices_use_payment_id_bccd83a7_fk_invoices_payment_id FOREIGN KEY (payment_id) REFERENCES public.invoices_payment(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.invoices_writeoff
    ADD CONSTRAINT invoices_writeoff_by_id_f096dd28_fk_staff_person_id FOREIGN KEY (by_id) REFERENCES public.staff_person(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.invoices_writeoff
    ADD CONSTRAINT invoices_writeoff_invoice_id_7a170a79_fk_invoices_invoice_id FOREIGN KEY (invoice_id) REFERENCES public.invoices_invoice(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.invoices_writeoff
    ADD CONSTRAINT invoices_writeoff_reverses_id_bb8c9a2f_fk_invoices_writeoff_id FOREIGN KEY (reverses_id) REFERENCES public.invoices_writeoff(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.jobparts_awaitedpart
    ADD CONSTRAINT jobparts_awaitedpart_added_by_id_feb7a5cf_fk_staff_person_id FOREIGN KEY (added_by_id) REFERENCES public.staff_person(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.jobparts_awaitedpart
    ADD CONSTRAINT jobparts_awaitedpart_arrived_by_id_18e1fd2b_fk_staff_person_id FOREIGN KEY (arrived_by_id) REFERENCES public.staff_person(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.jobparts_awaitedpart
    ADD CONSTRAINT jobparts_awaitedpart_canceled_by_id_dce40dd3_fk_staff_person_id FOREIGN KEY (canceled_by_id) REFERENCES public.staff_person(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.jobparts_awaitedpart
    ADD CONSTRAINT jobparts_awaitedpart_changed_by_id_a8c2b8ad_fk_staff_person_id FOREIGN KEY (changed_by_id) REFERENCES public.staff_person(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.jobparts_awaitedpart
    ADD CONSTRAINT jobparts_awaitedpart_job_id_255db5d5_fk_workorders_job_id FOREIGN KEY (job_id) REFERENCES public.workorders_job(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.jobparts_awaitedpart
    ADD CONSTRAINT jobparts_awaitedpart_line_id_2df9a47f_fk_workorders_jobline_id FOREIGN KEY (line_id) REFERENCES public.workorders_jobline(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.jobparts_awaitedpart
    ADD CONSTRAINT jobparts_awaitedpart_order_id_716b994b_fk_jobparts_ FOREIGN KEY (order_id) REFERENCES public.jobparts_awaitedpart(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.jobparts_awaitedpart
    ADD CONSTRAINT jobparts_awaitedpart_part_id_9c33acd6_fk_parts_part_id FOREIGN KEY (part_id) REFERENCES public.parts_part(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.jobparts_fittedcharge
    ADD CONSTRAINT jobparts_fittedcharg_as_charged_id_0dba3fe3_fk_jobparts_ FOREIGN KEY (as_charged_id) REFERENCES public.jobparts_partfitted(entry_id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.jobparts_fittedcharge
    ADD CONSTRAINT jobparts_fittedcharg_charge_id_5cda9ce8_fk_workorder FOREIGN KEY (charge_id) REFERENCES public.workorders_charge(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.jobparts_fittedcharge
    ADD CONSTRAINT jobparts_fittedcharg_fitted_id_85131378_fk_jobparts_ FOREIGN KEY (fitted_id) REFERENCES public.jobparts_partfitted(entry_id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.jobparts_partfitted
    ADD CONSTRAINT jobparts_partfitted_entry_id_d455b776_fk_vessels_logentry_id FOREIGN KEY (entry_id) REFERENCES public.vessels_logentry(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.jobparts_partfitted
    ADD CONSTRAINT jobparts_partfitted_first_id_7a25eaa6_fk_jobparts_ FOREIGN KEY (first_id) REFERENCES public.jobparts_partfitted(entry_id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.jobparts_partfitted
    ADD CONSTRAINT jobparts_partfitted_line_id_9a738a5b_fk_workorders_jobline_id FOREIGN KEY (line_id) REFERENCES public.workorders_jobline(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.jobparts_partfitted
    ADD CONSTRAINT jobparts_partfitted_part_id_b34a26bb_fk_parts_part_id FOREIGN KEY (part_id) REFERENCES public.parts_part(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.mfa_authenticator
    ADD CONSTRAINT mfa_authenticator_user_id_0c3a50c0_fk_staff_person_id FOREIGN KEY (user_id) REFERENCES public.staff_person(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.parts_part
    ADD CONSTRAINT parts_part_changed_by_id_24f0c83a_fk_staff_person_id FOREIGN KEY (changed_by_id) REFERENCES public.staff_person(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.readings_cardwords
    ADD CONSTRAINT readings_cardwords_card_id_e7050a4c_fk_readings_speccard_id FOREIGN KEY (card_id) REFERENCES public.readings_speccard(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.readings_cardwords
    ADD CONSTRAINT readings_cardwords_family_id_65197635_fk_vessels_e FOREIGN KEY (family_id) REFERENCES public.vessels_enginefamily(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.readings_cardwords
    ADD CONSTRAINT readings_cardwords_said_by_id_8ba218e5_fk_staff_person_id FOREIGN KEY (said_by_id) REFERENCES public.staff_person(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.readings_learnedname
    ADD CONSTRAINT readings_learnedname_learned_by_id_694405fe_fk_staff_person_id FOREIGN KEY (learned_by_id) REFERENCES public.staff_person(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.readings_learnedname
    ADD CONSTRAINT readings_learnedname_parameter_id_e7219951_fk_readings_ FOREIGN KEY (parameter_id) REFERENCES public.readings_parameter(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.readings_learnedname
    ADD CONSTRAINT readings_learnedname_registered_id_baf54db3_fk_instrumen FOREIGN KEY (registered_id) REFERENCES public.instruments_instrument(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.readings_reading
    ADD CONSTRAINT readings_reading_entry_id_93e0fced_fk_vessels_logentry_id FOREIGN KEY (entry_id) REFERENCES public.vessels_logentry(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.readings_reading
    ADD CONSTRAINT readings_reading_judged_by_id_3c4fcfb5_fk_readings_speclimit_id FOREIGN KEY (judged_by_id) REFERENCES public.readings_speclimit(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.readings_reading
    ADD CONSTRAINT readings_reading_parameter_id_3f6ae020_fk_readings_parameter_id FOREIGN KEY (parameter_id) REFERENCES public.readings_parameter(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.readings_reading
    ADD CONSTRAINT readings_reading_registered_id_e4bd15d2_fk_instrumen FOREIGN KEY (registered_id) REFERENCES public.instruments_instrument(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.readings_readingsheet
    ADD CONSTRAINT readings_readingshee_family_id_94c9cc7e_fk_vessels_e FOREIGN KEY (family_id) REFERENCES public.vessels_enginefamily(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.readings_readingsheet
    ADD CONSTRAINT readings_readingsheet_made_by_id_1ede8de5_fk_staff_person_id FOREIGN KEY (made_by_id) REFERENCES public.staff_person(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.readings_sheetrow
    ADD CONSTRAINT readings_sheetrow_parameter_id_e2f19bfa_fk_readings_ FOREIGN KEY (parameter_id) REFERENCES public.readings_parameter(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.readings_sheetrow
    ADD CONSTRAINT readings_sheetrow_version_id_b5f73c74_fk_readings_ FOREIGN KEY (version_id) REFERENCES public.readings_sheetversion(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.readings_sheetversion
    ADD CONSTRAINT readings_sheetversio_sheet_id_eb1eb79d_fk_readings_ FOREIGN KEY (sheet_id) REFERENCES public.readings_readingsheet(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.readings_sheetversion
    ADD CONSTRAINT readings_sheetversion_saved_by_id_e9a7d3ed_fk_staff_person_id FOREIGN KEY (saved_by_id) REFERENCES public.staff_person(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.readings_speccard
    ADD CONSTRAINT readings_speccard_changed_by_id_d646f51a_fk_staff_person_id FOREIGN KEY (changed_by_id) REFERENCES public.staff_person(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.readings_speccard
    ADD CONSTRAINT readings_speccard_family_id_b174e812_fk_vessels_enginefamily_id FOREIGN KEY (family_id) REFERENCES public.vessels_enginefamily(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.readings_speclimit
    ADD CONSTRAINT readings_speclimit_begun_by_id_9a58b147_fk_staff_person_id FOREIGN KEY (begun_by_id) REFERENCES public.staff_person(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.readings_speclimit
    ADD CONSTRAINT readings_speclimit_card_id_34e2d4dc_fk_readings_speccard_id FOREIGN KEY (card_id) REFERENCES public.readings_speccard(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.readings_speclimit
    ADD CONSTRAINT readings_speclimit_ended_by_id_2df1c581_fk_staff_person_id FOREIGN KEY (ended_by_id) REFERENCES public.staff_person(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.readings_speclimit
    ADD CONSTRAINT readings_speclimit_parameter_id_dd7844c3_fk_readings_ FOREIGN KEY (parameter_id) REFERENCES public.readings_parameter(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.readings_speclimit
    ADD CONSTRAINT readings_speclimit_replaces_id_769b78ee_fk_readings_ FOREIGN KEY (replaces_id) REFERENCES public.readings_speclimit(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.reports_issuedreport
    ADD CONSTRAINT reports_issuedreport_draft_id_53473f89_fk_reports_r FOREIGN KEY (draft_id) REFERENCES public.reports_reportdraft(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.reports_issuedreport
    ADD CONSTRAINT reports_issuedreport_entry_id_dd0e3800_fk_vessels_logentry_id FOREIGN KEY (entry_id) REFERENCES public.vessels_logentry(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.reports_issuedreport
    ADD CONSTRAINT reports_issuedreport_job_id_22c17ca4_fk_workorders_job_id FOREIGN KEY (job_id) REFERENCES public.workorders_job(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.reports_issuedreport
    ADD CONSTRAINT reports_issuedreport_signer_id_9b3179cc_fk_staff_person_id FOREIGN KEY (signer_id) REFERENCES public.staff_person(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.reports_issuedreport
    ADD CONSTRAINT reports_issuedreport_supersedes_id_f4c292ca_fk_reports_i FOREIGN KEY (supersedes_id) REFERENCES public.reports_issuedreport(entry_id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.reports_reportdraft
    ADD CONSTRAINT reports_reportdraft_changed_by_id_f33c65ae_fk_staff_person_id FOREIGN KEY (changed_by_id) REFERENCES public.staff_person(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.reports_reportdraft
    ADD CONSTRAINT reports_reportdraft_job_id_be907a4b_fk_workorders_job_id FOREIGN KEY (job_id) REFERENCES public.workorders_job(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.reports_reportdraft
    ADD CONSTRAINT reports_reportdraft_reviewed_by_id_dc140664_fk_staff_person_id FOREIGN KEY (reviewed_by_id) REFERENCES public.staff_person(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.reports_reportdraft
    ADD CONSTRAINT reports_reportdraft_signer_id_0c424573_fk_staff_person_id FOREIGN KEY (signer_id) REFERENCES public.staff_person(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.reports_reportdraft
    ADD CONSTRAINT reports_reportdraft_started_by_id_f534231c_fk_staff_person_id FOREIGN KEY (started_by_id) REFERENCES public.staff_person(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.reports_reportdraft
    ADD CONSTRAINT reports_reportdraft_supersedes_id_a5b0951e_fk_reports_i FOREIGN KEY (supersedes_id) REFERENCES public.reports_issuedreport(entry_id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.reports_reportwithdrawal
    ADD CONSTRAINT reports_reportwithdr_entry_id_23fbfe5f_fk_vessels_l FOREIGN KEY (entry_id) REFERENCES public.vessels_logentry(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.reports_reportwithdrawal
    ADD CONSTRAINT reports_reportwithdr_report_id_0a3490ec_fk_reports_i FOREIGN KEY (report_id) REFERENCES public.reports_issuedreport(entry_id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.staff_accountevent
    ADD CONSTRAINT staff_accountevent_by_id_6976fba3_fk_staff_person_id FOREIGN KEY (by_id) REFERENCES public.staff_person(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.staff_accountevent
    ADD CONSTRAINT staff_accountevent_person_id_e8554523_fk_staff_person_id FOREIGN KEY (person_id) REFERENCES public.staff_person(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.staff_knownaddress
    ADD CONSTRAINT staff_knownaddress_person_id_b37c8272_fk_staff_person_id FOREIGN KEY (person_id) REFERENCES public.staff_person(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.staff_person
    ADD CONSTRAINT staff_person_changed_by_id_3070439f_fk_staff_person_id FOREIGN KEY (changed_by_id) REFERENCES public.staff_person(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.staff_session
    ADD CONSTRAINT staff_session_person_id_ab06f5ba_fk_staff_person_id FOREIGN KEY (person_id) REFERENCES public.staff_person(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.staff_shopprofile
    ADD CONSTRAINT staff_shopprofile_changed_by_id_ba1eb8dd_fk_staff_person_id FOREIGN KEY (changed_by_id) REFERENCES public.staff_person(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.taxes_jobtaxes
    ADD CONSTRAINT taxes_jobtaxes_job_id_80749c83_fk_workorders_job_id FOREIGN KEY (job_id) REFERENCES public.workorders_job(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.taxes_taxexemption
    ADD CONSTRAINT taxes_taxexemption_added_by_id_489f46d6_fk_staff_person_id FOREIGN KEY (added_by_id) REFERENCES public.staff_person(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.taxes_taxexemption
    ADD CONSTRAINT taxes_taxexemption_customer_id_ffbf8fd0_fk_vessels_customer_id FOREIGN KEY (customer_id) REFERENCES public.vessels_customer(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.taxes_taxexemption
    ADD CONSTRAINT taxes_taxexemption_ended_by_id_8839b588_fk_staff_person_id FOREIGN KEY (ended_by_id) REFERENCES public.staff_person(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.taxes_taxexemption
    ADD CONSTRAINT taxes_taxexemption_tax_id_8cfcce8d_fk_taxes_salestax_id FOREIGN KEY (tax_id) REFERENCES public.taxes_salestax(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.taxes_taxrate
    ADD CONSTRAINT taxes_taxrate_added_by_id_50274fdb_fk_staff_person_id FOREIGN KEY (added_by_id) REFERENCES public.staff_person(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.taxes_taxrate
    ADD CONSTRAINT taxes_taxrate_on_tax_id_6e7d2c49_fk_taxes_salestax_id FOREIGN KEY (on_tax_id) REFERENCES public.taxes_salestax(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.taxes_taxrate
    ADD CONSTRAINT taxes_taxrate_tax_id_fac462f5_fk_taxes_salestax_id FOREIGN KEY (tax_id) REFERENCES public.taxes_salestax(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.upkeep_adoption
    ADD CONSTRAINT upkeep_adoption_added_by_id_f2780b23_fk_staff_person_id FOREIGN KEY (added_by_id) REFERENCES public.staff_person(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.upkeep_adoption
    ADD CONSTRAINT upkeep_adoption_changed_by_id_3aa2c0c0_fk_staff_person_id FOREIGN KEY (changed_by_id) REFERENCES public.staff_person(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.upkeep_adoption
    ADD CONSTRAINT upkeep_adoption_ended_by_id_bc81bf55_fk_staff_person_id FOREIGN KEY (ended_by_id) REFERENCES public.staff_person(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.upkeep_adoption
    ADD CONSTRAINT upkeep_adoption_engine_id_eab9a607_fk_vessels_engine_id FOREIGN KEY (engine_id) REFERENCES public.vessels_engine(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.upkeep_adoption
    ADD CONSTRAINT upkeep_adoption_plan_id_8e509fe3_fk_upkeep_serviceplan_id FOREIGN KEY (plan_id) REFERENCES public.upkeep_serviceplan(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.upkeep_layup
    ADD CONSTRAINT upkeep_layup_added_by_id_f6baeeb1_fk_staff_person_id FOREIGN KEY (added_by_id) REFERENCES public.staff_person(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.upkeep_layup
    ADD CONSTRAINT upkeep_layup_changed_by_id_413c75e8_fk_staff_person_id FOREIGN KEY (changed_by_id) REFERENCES public.staff_person(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.upkeep_layup
    ADD CONSTRAINT upkeep_layup_struck_by_id_8af1f32c_fk_staff_person_id FOREIGN KEY (struck_by_id) REFERENCES public.staff_person(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.upkeep_layup
    ADD CONSTRAINT upkeep_layup_vessel_id_719e5d01_fk_vessels_vessel_id FOREIGN KEY (vessel_id) REFERENCES public.vessels_vessel(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.upkeep_plannedline
    ADD CONSTRAINT upkeep_plannedline_adoption_id_3889e295_fk_upkeep_adoption_id FOREIGN KEY (adoption_id) REFERENCES public.upkeep_adoption(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.upkeep_plannedline
    ADD CONSTRAINT upkeep_plannedline_line_id_f67f7f58_fk_workorders_jobline_id FOREIGN KEY (line_id) REFERENCES public.workorders_jobline(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.upkeep_planversion
    ADD CONSTRAINT upkeep_planversion_by_id_cce8d7a6_fk_staff_person_id FOREIGN KEY (by_id) REFERENCES public.staff_person(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.upkeep_planversion
    ADD CONSTRAINT upkeep_planversion_plan_id_533c42dd_fk_upkeep_serviceplan_id FOREIGN KEY (plan_id) REFERENCES public.upkeep_serviceplan(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.upkeep_reminder
    ADD CONSTRAINT upkeep_reminder_by_id_3d3a3758_fk_staff_person_id FOREIGN KEY (by_id) REFERENCES public.staff_person(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.upkeep_reminder
    ADD CONSTRAINT upkeep_reminder_customer_id_78ce9346_fk_vessels_customer_id FOREIGN KEY (customer_id) REFERENCES public.vessels_customer(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.upkeep_reminder
    ADD CONSTRAINT upkeep_reminder_letter_id_f18f11a2_fk_upkeep_reminderletter_id FOREIGN KEY (letter_id) REFERENCES public.upkeep_reminderletter(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.upkeep_reminder
    ADD CONSTRAINT upkeep_reminder_vessel_id_53937545_fk_vessels_vessel_id FOREIGN KEY (vessel_id) REFERENCES public.vessels_vessel(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.upkeep_reminderletter
    ADD CONSTRAINT upkeep_reminderlette_customer_id_578cdcc0_fk_vessels_c FOREIGN KEY (customer_id) REFERENCES public.vessels_customer(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.upkeep_reminderletter
    ADD CONSTRAINT upkeep_reminderlette_discarded_by_id_792323f9_fk_staff_per FOREIGN KEY (discarded_by_id) REFERENCES public.staff_person(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.upkeep_reminderletter
    ADD CONSTRAINT upkeep_reminderletter_sent_by_id_926b60a4_fk_staff_person_id FOREIGN KEY (sent_by_id) REFERENCES public.staff_person(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.upkeep_reminderletter
    ADD CONSTRAINT upkeep_reminderletter_written_by_id_672a67f6_fk_staff_person_id FOREIGN KEY (written_by_id) REFERENCES public.staff_person(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.upkeep_reminderwish
    ADD CONSTRAINT upkeep_reminderwish_by_id_7b792f9f_fk_staff_person_id FOREIGN KEY (by_id) REFERENCES public.staff_person(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.upkeep_reminderwish
    ADD CONSTRAINT upkeep_reminderwish_customer_id_72af3c23_fk_vessels_customer_id FOREIGN KEY (customer_id) REFERENCES public.vessels_customer(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.upkeep_servicedone
    ADD CONSTRAINT upkeep_servicedone_entry_id_00c1e066_fk_vessels_logentry_id FOREIGN KEY (entry_id) REFERENCES public.vessels_logentry(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.upkeep_servicedone
    ADD CONSTRAINT upkeep_servicedone_line_id_e0569dbd_fk_workorders_jobline_id FOREIGN KEY (line_id) REFERENCES public.workorders_jobline(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.upkeep_servicedone
    ADD CONSTRAINT upkeep_servicedone_read_in_id_96b426c6_fk_vessels_logentry_id FOREIGN KEY (read_in_id) REFERENCES public.vessels_logentry(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.upkeep_serviceof
    ADD CONSTRAINT upkeep_serviceof_done_id_3ff5ff9c_fk_upkeep_se FOREIGN KEY (done_id) REFERENCES public.upkeep_servicedone(entry_id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.upkeep_serviceof
    ADD CONSTRAINT upkeep_serviceof_plan_version_id_70487bbc_fk_upkeep_pl FOREIGN KEY (plan_version_id) REFERENCES public.upkeep_planversion(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.upkeep_serviceplan
    ADD CONSTRAINT upkeep_serviceplan_added_by_id_cd9fafba_fk_staff_person_id FOREIGN KEY (added_by_id) REFERENCES public.staff_person(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.upkeep_serviceplan
    ADD CONSTRAINT upkeep_serviceplan_changed_by_id_954621bc_fk_staff_person_id FOREIGN KEY (changed_by_id) REFERENCES public.staff_person(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.upkeep_serviceplan
    ADD CONSTRAINT upkeep_serviceplan_ended_by_id_2ed9aea4_fk_staff_person_id FOREIGN KEY (ended_by_id) REFERENCES public.staff_person(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.upkeep_serviceplan
    ADD CONSTRAINT upkeep_serviceplan_family_id_8380aa4c_fk_vessels_e FOREIGN KEY (family_id) REFERENCES public.vessels_enginefamily(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.upkeep_serviceplan
    ADD CONSTRAINT upkeep_serviceplan_kit_id_e70f96e0_fk_estimates_kit_id FOREIGN KEY (kit_id) REFERENCES public.estimates_kit(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.vessels_controlunit
    ADD CONSTRAINT vessels_controlunit_changed_by_id_7402e4e5_fk_staff_person_id FOREIGN KEY (changed_by_id) REFERENCES public.staff_person(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.vessels_controlunit
    ADD CONSTRAINT vessels_controlunit_engine_id_27c2b9c2_fk_vessels_engine_id FOREIGN KEY (engine_id) REFERENCES public.vessels_engine(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.vessels_controlunit
    ADD CONSTRAINT vessels_controlunit_vessel_id_5773ff21_fk_vessels_vessel_id FOREIGN KEY (vessel_id) REFERENCES public.vessels_vessel(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.vessels_customer
    ADD CONSTRAINT vessels_customer_changed_by_id_a373e8f4_fk_staff_person_id FOREIGN KEY (changed_by_id) REFERENCES public.staff_person(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.vessels_customeremail
    ADD CONSTRAINT vessels_customeremai_customer_id_ee29e2d3_fk_vessels_c FOREIGN KEY (customer_id) REFERENCES public.vessels_customer(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.vessels_customerphone
    ADD CONSTRAINT vessels_customerphon_customer_id_62043ba0_fk_vessels_c FOREIGN KEY (customer_id) REFERENCES public.vessels_customer(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.vessels_customerspelling
    ADD CONSTRAINT vessels_customerspel_customer_id_ab05f633_fk_vessels_c FOREIGN KEY (customer_id) REFERENCES public.vessels_customer(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.vessels_detailschange
    ADD CONSTRAINT vessels_detailschange_entry_id_8465fbda_fk_vessels_logentry_id FOREIGN KEY (entry_id) REFERENCES public.vessels_logentry(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.vessels_engine
    ADD CONSTRAINT vessels_engine_changed_by_id_707f4e5e_fk_staff_person_id FOREIGN KEY (changed_by_id) REFERENCES public.staff_person(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.vessels_engine
    ADD CONSTRAINT vessels_engine_family_id_fbb3d8b1_fk_vessels_enginefamily_id FOREIGN KEY (family_id) REFERENCES public.vessels_enginefamily(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.vessels_engine
    ADD CONSTRAINT vessels_engine_vessel_id_89f3c4ea_fk_vessels_vessel_id FOREIGN KEY (vessel_id) REFERENCES public.vessels_vessel(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.vessels_hourmeter
    ADD CONSTRAINT vessels_hourmeter_engine_id_085506eb_fk_vessels_engine_id FOREIGN KEY (engine_id) REFERENCES public.vessels_engine(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.vessels_hourreading
    ADD CONSTRAINT vessels_hourreading_entry_id_29523f35_fk_vessels_logentry_id FOREIGN KEY (entry_id) REFERENCES public.vessels_logentry(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.vessels_hourreading
    ADD CONSTRAINT vessels_hourreading_meter_id_670fd55d_fk_vessels_hourmeter_id FOREIGN KEY (meter_id) REFERENCES public.vessels_hourmeter(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.vessels_logentry
    ADD CONSTRAINT vessels_logentry_amends_id_214325ab_fk_vessels_logentry_id FOREIGN KEY (amends_id) REFERENCES public.vessels_logentry(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.vessels_logentry
    ADD CONSTRAINT vessels_logentry_author_id_1f2d65ea_fk_staff_person_id FOREIGN KEY (author_id) REFERENCES public.staff_person(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.vessels_logentry
    ADD CONSTRAINT vessels_logentry_engine_id_2dac12d2_fk_vessels_engine_id FOREIGN KEY (engine_id) REFERENCES public.vessels_engine(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.vessels_logentry
    ADD CONSTRAINT vessels_logentry_job_id_3e37fffc_fk_workorders_job_id FOREIGN KEY (job_id) REFERENCES public.workorders_job(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.vessels_logentry
    ADD CONSTRAINT vessels_logentry_vessel_id_f3bb65d3_fk_vessels_vessel_id FOREIGN KEY (vessel_id) REFERENCES public.vessels_vessel(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.vessels_meterreplacement
    ADD CONSTRAINT vessels_meterreplace_entry_id_c251f3ba_fk_vessels_l FOREIGN KEY (entry_id) REFERENCES public.vessels_logentry(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.vessels_meterreplacement
    ADD CONSTRAINT vessels_meterreplace_new_meter_id_6216fd26_fk_vessels_h FOREIGN KEY (new_meter_id) REFERENCES public.vessels_hourmeter(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.vessels_meterreplacement
    ADD CONSTRAINT vessels_meterreplace_old_meter_id_8eee3d53_fk_vessels_h FOREIGN KEY (old_meter_id) REFERENCES public.vessels_hourmeter(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.vessels_ownerchange
    ADD CONSTRAINT vessels_ownerchange_entry_id_5ff92af8_fk_vessels_logentry_id FOREIGN KEY (entry_id) REFERENCES public.vessels_logentry(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.vessels_ownerchange
    ADD CONSTRAINT vessels_ownerchange_new_owner_id_b5f4bd25_fk_vessels_c FOREIGN KEY (new_owner_id) REFERENCES public.vessels_customer(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.vessels_ownerchange
    ADD CONSTRAINT vessels_ownerchange_old_owner_id_5864bd21_fk_vessels_c FOREIGN KEY (old_owner_id) REFERENCES public.vessels_customer(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.vessels_ownership
    ADD CONSTRAINT vessels_ownership_customer_id_f6bb8bf8_fk_vessels_customer_id FOREIGN KEY (customer_id) REFERENCES public.vessels_customer(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.vessels_ownership
    ADD CONSTRAINT vessels_ownership_vessel_id_d6aaffe8_fk_vessels_vessel_id FOREIGN KEY (vessel_id) REFERENCES public.vessels_vessel(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.vessels_unitfitting
    ADD CONSTRAINT vessels_unitfitting_entry_id_fad5c34d_fk_vessels_logentry_id FOREIGN KEY (entry_id) REFERENCES public.vessels_logentry(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.vessels_unitfitting
    ADD CONSTRAINT vessels_unitfitting_unit_id_9c1d5341_fk_vessels_controlunit_id FOREIGN KEY (unit_id) REFERENCES public.vessels_controlunit(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.vessels_unitidentification
    ADD CONSTRAINT vessels_unitidentifi_entry_id_278c79d8_fk_vessels_l FOREIGN KEY (entry_id) REFERENCES public.vessels_logentry(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.vessels_unitidentification
    ADD CONSTRAINT vessels_unitidentifi_unit_id_9b3fc030_fk_vessels_c FOREIGN KEY (unit_id) REFERENCES public.vessels_controlunit(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.vessels_vessel
    ADD CONSTRAINT vessels_vessel_changed_by_id_bbbe8557_fk_staff_person_id FOREIGN KEY (changed_by_id) REFERENCES public.staff_person(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.vessels_vessel
    ADD CONSTRAINT vessels_vessel_owner_id_c0857005_fk_vessels_customer_id FOREIGN KEY (owner_id) REFERENCES public.vessels_customer(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.vessels_vesselspelling
    ADD CONSTRAINT vessels_vesselspelling_vessel_id_328d635c_fk_vessels_vessel_id FOREIGN KEY (vessel_id) REFERENCES public.vessels_vessel(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.workorders_charge
    ADD CONSTRAINT workorders_charge_added_by_id_69f1d6c6_fk_staff_person_id FOREIGN KEY (added_by_id) REFERENCES public.staff_person(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.workorders_charge
    ADD CONSTRAINT workorders_charge_again_of_id_2be055f1_fk_workorders_charge_id FOREIGN KEY (again_of_id) REFERENCES public.workorders_charge(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.workorders_charge
    ADD CONSTRAINT workorders_charge_core_of_id_16e75a90_fk_workorders_charge_id FOREIGN KEY (core_of_id) REFERENCES public.workorders_charge(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.workorders_charge
    ADD CONSTRAINT workorders_charge_job_id_bf6f5268_fk_workorders_job_id FOREIGN KEY (job_id) REFERENCES public.workorders_job(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.workorders_charge
    ADD CONSTRAINT workorders_charge_line_id_c0c6a000_fk_workorders_jobline_id FOREIGN KEY (line_id) REFERENCES public.workorders_jobline(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.workorders_charge
    ADD CONSTRAINT workorders_charge_part_id_c7748239_fk_parts_part_id FOREIGN KEY (part_id) REFERENCES public.parts_part(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.workorders_charge
    ADD CONSTRAINT workorders_charge_struck_by_id_f05451c1_fk_staff_person_id FOREIGN KEY (struck_by_id) REFERENCES public.staff_person(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.workorders_job
    ADD CONSTRAINT workorders_job_changed_by_id_d74aae34_fk_staff_person_id FOREIGN KEY (changed_by_id) REFERENCES public.staff_person(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.workorders_job
    ADD CONSTRAINT workorders_job_customer_id_eac87e72_fk_vessels_customer_id FOREIGN KEY (customer_id) REFERENCES public.vessels_customer(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.workorders_job
    ADD CONSTRAINT workorders_job_opened_by_id_8a46e88e_fk_staff_person_id FOREIGN KEY (opened_by_id) REFERENCES public.staff_person(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.workorders_job
    ADD CONSTRAINT workorders_job_technician_id_373a8cac_fk_staff_person_id FOREIGN KEY (technician_id) REFERENCES public.staff_person(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.workorders_job
    ADD CONSTRAINT workorders_job_vessel_id_ec0dd865_fk_vessels_vessel_id FOREIGN KEY (vessel_id) REFERENCES public.vessels_vessel(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.workorders_jobchange
    ADD CONSTRAINT workorders_jobchange_entry_id_4f73790e_fk_vessels_logentry_id FOREIGN KEY (entry_id) REFERENCES public.vessels_logentry(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.workorders_jobchange
    ADD CONSTRAINT workorders_jobchange_line_id_e4c216b8_fk_workorders_jobline_id FOREIGN KEY (line_id) REFERENCES public.workorders_jobline(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.workorders_jobline
    ADD CONSTRAINT workorders_jobline_changed_by_id_c938ad89_fk_staff_person_id FOREIGN KEY (changed_by_id) REFERENCES public.staff_person(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.workorders_jobline_done_by
    ADD CONSTRAINT workorders_jobline_d_jobline_id_9d84f67f_fk_workorder FOREIGN KEY (jobline_id) REFERENCES public.workorders_jobline(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.workorders_jobline_done_by
    ADD CONSTRAINT workorders_jobline_d_person_id_045a1f78_fk_staff_per FOREIGN KEY (person_id) REFERENCES public.staff_person(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.workorders_jobline
    ADD CONSTRAINT workorders_jobline_engine_id_6e837bb3_fk_vessels_engine_id FOREIGN KEY (engine_id) REFERENCES public.vessels_engine(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.workorders_jobline
    ADD CONSTRAINT workorders_jobline_job_id_79efd0e5_fk_workorders_job_id FOREIGN KEY (job_id) REFERENCES public.workorders_job(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.workorders_jobmove
    ADD CONSTRAINT workorders_jobmove_entry_id_df7aaab4_fk_vessels_logentry_id FOREIGN KEY (entry_id) REFERENCES public.vessels_logentry(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.workorders_moveintime
    ADD CONSTRAINT workorders_moveintime_entry_id_b07f285b_fk_vessels_logentry_id FOREIGN KEY (entry_id) REFERENCES public.vessels_logentry(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.workorders_moveintime
    ADD CONSTRAINT workorders_moveintime_job_id_5d00c696_fk_workorders_job_id FOREIGN KEY (job_id) REFERENCES public.workorders_job(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.workorders_sold
    ADD CONSTRAINT workorders_sold_charge_id_53bfb90e_fk_workorders_charge_id FOREIGN KEY (charge_id) REFERENCES public.workorders_charge(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.workorders_sold
    ADD CONSTRAINT workorders_sold_root_id_a83e0c8d_fk_workorders_stretch_id FOREIGN KEY (root_id) REFERENCES public.workorders_stretch(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.workorders_sold
    ADD CONSTRAINT workorders_sold_stretch_id_06c9e8b6_fk_workorders_stretch_id FOREIGN KEY (stretch_id) REFERENCES public.workorders_stretch(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.workorders_stretch
    ADD CONSTRAINT workorders_stretch_amends_id_b77178d3_fk_workorders_stretch_id FOREIGN KEY (amends_id) REFERENCES public.workorders_stretch(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.workorders_stretch
    ADD CONSTRAINT workorders_stretch_by_id_96b5eaa8_fk_staff_person_id FOREIGN KEY (by_id) REFERENCES public.staff_person(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.workorders_stretch
    ADD CONSTRAINT workorders_stretch_line_id_44677e7b_fk_workorders_jobline_id FOREIGN KEY (line_id) REFERENCES public.workorders_jobline(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.workorders_stretch
    ADD CONSTRAINT workorders_stretch_person_id_322bf681_fk_staff_person_id FOREIGN KEY (person_id) REFERENCES public.staff_person(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.workorders_stretch
    ADD CONSTRAINT workorders_stretch_root_id_d3e736e2_fk_workorders_stretch_id FOREIGN KEY (root_id) REFERENCES public.workorders_stretch(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.workorders_stretchend
    ADD CONSTRAINT workorders_stretchen_stretch_id_39989cbc_fk_workorder FOREIGN KEY (stretch_id) REFERENCES public.workorders_stretch(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.workorders_stretchend
    ADD CONSTRAINT workorders_stretchend_by_id_b93c384f_fk_staff_person_id FOREIGN KEY (by_id) REFERENCES public.staff_person(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.workorders_stretchvoid
    ADD CONSTRAINT workorders_stretchvo_stretch_id_27da9580_fk_workorder FOREIGN KEY (stretch_id) REFERENCES public.workorders_stretch(id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.workorders_stretchvoid
    ADD CONSTRAINT workorders_stretchvoid_by_id_6e095e77_fk_staff_person_id FOREIGN KEY (by_id) REFERENCES public.staff_person(id) DEFERRABLE INITIALLY DEFERRED;
